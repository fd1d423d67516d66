"""Trade sheets on paper: each on a page of its own."""

import re
from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from coordination.handover.papers_wanted import usual_paper
from coordination.projects.trade_words import in_words_of
from coordination.web.shapes.papers import DENSITIES, density_for, made_of
from coordination.web.shapes.trade_sheet_parts import TradeSheet
from coordination.web.shapes.trade_sheets import Sheets
from coordination.web.texts import language_read


def trade_paper(sheets: Sheets, chosen: Sequence[TradeSheet], at: datetime) -> bytes:
    """The PDF of some sheets, one page each. Raises PaperError."""
    project = sheets.project
    first = chosen[0]
    title = _("Trade sheet: %(trade)s, %(project)s") % {"trade": first.trade_name, "project": project.name}
    context: dict[str, Any] = {
        "size": usual_paper(project.code_set),
        "project": project,
        "as_of": sheets.as_of,
        "governs": in_words_of(
            project.code_set,
            _(
                "The approved revision of the {lift} maker’s drawing and the local code govern; what was not "
                "read in the text itself is confirmed with whom the source names. No permission to enter the "
                "{hoistway} or to energize anything."
            ),
        ),
    }
    drawings = {f"drawing/{number}.svg": sheet.svg for number, sheet in enumerate(chosen) if sheet.svg}
    return made_of(
        "paper/trade_sheets.html",
        ({**context, "sheets": sheets_at} for sheets_at in _denser(chosen)),
        drawings,
        title=title,
        language=language_read(),
        made_at=at,
        pages=len(chosen),
    )


def _denser(chosen: Sequence[TradeSheet]) -> Iterator[list[dict[str, Any]]]:
    """Each sheet as dense as it needs by its length, then all a step denser, until nothing is left."""
    own = [DENSITIES.index(density_for(sheet.lines)) for sheet in chosen]
    most = len(DENSITIES) - 1
    for step in range(most - min(own) + 1):
        yield [
            {
                "sheet": sheet,
                "density": DENSITIES[min(density + step, most)],
                "drawing": f"drawing/{number}.svg" if sheet.svg else "",
            }
            for number, (sheet, density) in enumerate(zip(chosen, own, strict=True))
        ]


def file_name(project: str, *parts: str) -> str:
    """A name for the download, of letters, digits and hyphens."""
    words = "-".join((project, *parts))
    return re.sub(r"[^A-Za-z0-9]+", "-", words).strip("-").lower() + ".pdf"
