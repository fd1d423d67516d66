"""The joint recall test on one page, to be filled in by hand: what to set off, what to expect, what was seen."""

from datetime import datetime
from typing import Any

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from coordination.handover.papers_wanted import usual_paper
from coordination.projects.trade_words import in_words_of
from coordination.web.forms.calculations import CalculationForm
from coordination.web.shapes.calculated import Calculated
from coordination.web.shapes.calculation_result_words import RESULTS
from coordination.web.shapes.calculation_words import CAUTIONS, LIMITS
from coordination.web.shapes.papers import density_for, paper
from coordination.web.texts import language_read

CALCULATION = "alarm"


def has_test_sheet(found: Calculated | None) -> bool:
    """Whether the result holds the lines of a test."""
    return found is not None and _steps(found) is not None


def test_sheet(at: datetime, form: CalculationForm, found: Calculated, *, project: str) -> bytes:
    """The PDF; ``project`` is left to be filled in where it is empty.

    Raises PaperError, and ValueError for a result without a test.
    """
    steps, words = _steps(found), form.code_set
    if steps is None:
        raise ValueError("no test in this result")
    lists = {row[0]: row[1]["text"].split("; ") for row in (found.shown.values or {"rows": []})["rows"]}
    before, after = (str(RESULTS[CALCULATION][key]) for key in ("before_test", "after_test"))
    context: dict[str, Any] = {
        "heading": in_words_of(words, _("Joint recall test of the {lift}")),
        "size": usual_paper(words),
        "made": date_format(timezone.localtime(at), "j F Y, H:i", use_l10n=False),
        "block": [(_("Project"), project), (_("Date"), ""), (_("Panel"), ""), (_("Inspector, if there"), "")],
        "steps": steps,
        "before": lists.get(before, []),
        "after": lists.get(after, []),
        "signers": [
            _("Fire-alarm trade"),
            _("Electrician"),
            in_words_of(words, _("{Lift} mechanic in control")),
            _("General contractor"),
        ],
        "limits": in_words_of(words, str(LIMITS[CALCULATION])),
        "cautions": [in_words_of(words, str(text)) for text in CAUTIONS[CALCULATION]],
    }
    return paper(
        "paper/test_sheet.html",
        context,
        {},
        title=context["heading"],
        language=language_read(),
        made_at=at,
        begin=density_for(24 + 2 * len(steps["rows"])),
    )


def _steps(found: Calculated) -> dict[str, Any] | None:
    caption = str(RESULTS[CALCULATION]["test_sheet"])
    return next((dict(table) for table in found.shown.tables if table["caption"] == caption), None)
