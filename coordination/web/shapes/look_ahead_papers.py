"""The next three weeks on paper: each trade on a page of its own."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from coordination.handover.papers_wanted import usual_paper
from coordination.projects.trade_words import in_words_of
from coordination.web.shapes.look_ahead_lines import LookAhead, TradeAhead
from coordination.web.shapes.papers import DENSITIES, made_of
from coordination.web.texts import language_read


def look_ahead_paper(looking: LookAhead, chosen: Sequence[TradeAhead], at: datetime) -> bytes:
    """The PDF of some trades, a page for each. Raises PaperError."""
    project = looking.project
    title = _("The next three weeks: %(project)s") % {"project": project.name}
    context: dict[str, Any] = {
        "size": usual_paper(project.code_set),
        "project": project,
        "looking": looking,
        "trades": chosen,
        "no_permission": in_words_of(
            project.code_set,
            _(
                "“Ready” means that what must come before is recorded. It is no permission to enter the {hoistway} or "
                "to energize anything."
            ),
        ),
    }
    return made_of(
        "paper/look_ahead.html",
        ({**context, "density": density} for density in DENSITIES),
        {},
        title=title,
        language=language_read(),
        made_at=at,
        pages=len(chosen),
    )
