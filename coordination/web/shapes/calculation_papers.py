"""A calculation on paper: inputs, results, sources, cautions, who and when."""

from datetime import datetime
from typing import Any

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from coordination.access.visitors import Visitor
from coordination.handover.papers_wanted import usual_paper
from coordination.projects.trade_words import in_words_of
from coordination.web.forms.calculations import CalculationForm
from coordination.web.shapes.calculated import Calculated
from coordination.web.shapes.calculation_fields import title_of
from coordination.web.shapes.calculation_results import Table
from coordination.web.shapes.calculation_words import CAUTIONS, LIMITS
from coordination.web.shapes.papers import density_for, paper
from coordination.web.texts import language_read
from coordination.web.words import ROLES

NARROW = 4


def calculation_paper(
    visitor: Visitor,
    at: datetime,
    form: CalculationForm,
    found: Calculated,
    *,
    for_what: str = "",
    source: str = "",
) -> bytes:
    """The PDF of a result. Raises PaperError."""
    project, words = visitor.project, visitor.project.code_set
    title, about = title_of(form.calculation.name, words)
    who = ", ".join(filter(None, [visitor.name, str(ROLES[visitor.role]), visitor.company_name]))
    moment = date_format(timezone.localtime(at), "j F Y, H:i", use_l10n=False)
    block: list[tuple[str, str]] = [
        (_("Project"), ", ".join(filter(None, [project.name, project.place]))),
        (_("For"), for_what),
        (_("Calculated by"), who),
        (_("When"), moment),
        (_("Inputs from"), source),
    ]
    sources: dict[str, int] = {}
    values = numbered(found.shown.values, sources)
    drawn = {picture.of for picture in found.pictures}
    shown = [table for table in found.shown.tables if table["caption"] not in drawn]
    findings = numbered(found.shown.findings, sources)
    tables = [numbered(table, sources) for table in shown]
    context: dict[str, Any] = {
        "heading": _("Calculation: %(title)s") % {"title": title},
        "about": about,
        "size": usual_paper(words),
        "project": project.name,
        "made": moment,
        "block": [(name, value) for name, value in block if value],
        "summary": found.shown.summary,
        "values": values,
        "findings": findings,
        "wide": [table for table in tables if len(table["columns"]) > NARROW],
        "narrow": [table for table in tables if len(table["columns"]) <= NARROW],
        "inputs": found.inputs,
        "sources": list(sources),
        "drawings": [
            (f"drawing/{number}.svg", picture.alt, picture.caption)
            for number, picture in enumerate(found.pictures)
        ],
        "limits": in_words_of(words, str(LIMITS[form.calculation.name])),
        "cautions": [in_words_of(words, str(text)) for text in CAUTIONS[form.calculation.name]],
    }
    drawings = {f"drawing/{number}.svg": picture.svg for number, picture in enumerate(found.pictures)}
    return paper(
        "paper/calculation.html",
        context,
        drawings,
        title=context["heading"],
        language=language_read(),
        made_at=at,
        begin=density_for(_lines(context)),
    )


def _lines(context: dict[str, Any]) -> float:
    """About how many lines of a page it takes."""
    tables = sum(len(table["rows"]) + 3 for table in context["wide"])
    tables += sum(len(table["rows"]) + 3 for table in context["narrow"]) // 2
    findings = len(context["findings"]["rows"]) + 3 if context["findings"] else 0
    drawn = max(22 * len(context["drawings"]), findings * (1.4 if context["drawings"] else 1))
    pairs = len(context["values"]["rows"]) / 2 if context["values"] else 0
    inputs, sources = len(context["inputs"]["rows"]) / 3, len(context["sources"])
    return 14 + tables + pairs + drawn + inputs + sources


def numbered(table: Table | None, sources: dict[str, int]) -> Table | None:
    """``table`` with the number of each source in its last column; new ones are added to ``sources``."""
    if table is None or table["columns"][-1] != _("where it comes from"):
        return table
    rows = []
    for row in table["rows"]:
        number = sources.setdefault(row[-1], len(sources) + 1) if row[-1] else ""
        rows.append([*row[:-1], {"text": f"[{number}]" if number else ""}])
    return {**table, "columns": [*table["columns"][:-1], _("source")], "rows": rows}
