"""The page of one photo: large, with its marks in the picture and in words, and what may be done with them."""

import json
from dataclasses import dataclass
from uuid import UUID

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from coordination.access.permissions import Scope, may
from coordination.access.visitors import Visitor
from coordination.evidence.mark_words import ACROSS, DOWN
from coordination.evidence.marking import scope_of_marks
from coordination.evidence.models import Evidence
from coordination.evidence.queries import item_of
from coordination.gates.sentences import of_requirement, of_task
from coordination.pictures.marks import BANDS, COLUMNS, ROWS, draft, squares
from coordination.web.shapes.photos import SMALL, Figure, MarkLine, figure, given_up_on, state_of


@dataclass(frozen=True)
class PutMark:
    """A mark in the list. ``back``: where it is taken back; empty where the visitor does not."""

    line: MarkLine
    back: str


@dataclass(frozen=True)
class PhotoPage:
    """For photos/show.html. ``drawing``, as JSON, is what static/js/marks.js needs to say where a point lies."""

    uid: UUID
    figure: Figure
    task: str
    task_href: str
    review_href: str
    marks: tuple[PutMark, ...]
    may_mark: bool
    squares: SafeString
    draft: SafeString
    drawing: str


def photo_page(row: Evidence, visitor: Visitor) -> PhotoPage:
    """The page of one photo as ``visitor`` may use it."""
    item, requirement = item_of(row), row.requirement
    small = item.renditions.get(SMALL)
    shown = figure(
        row,
        small,
        of_requirement(requirement),
        state=state_of(item),
        failed=given_up_on([] if small else [row]),
        marks=item.marks,
    )
    return PhotoPage(
        uid=row.uid,
        figure=shown,
        task=of_task(requirement.task),
        task_href=_task_href(row, visitor),
        review_href=_review_href(row, visitor),
        marks=tuple(
            PutMark(line, _back(row, line) if _is_own(mark.row.by, visitor) and not line.is_reason else "")
            for mark, line in zip(item.marks, shown.marks, strict=True)
        ),
        may_mark=row.withdrawn_at is None and may(visitor, "mark a photo", scope_of_marks(requirement)),
        squares=mark_safe(squares(prefix="squares")),
        draft=mark_safe(draft(prefix="draft")),
        drawing=json.dumps(_drawing()),
    )


def _is_own(by: str, visitor: Visitor) -> bool:
    return by == visitor.identity


def _back(row: Evidence, line: MarkLine) -> str:
    return reverse("mark-take-back", args=[row.uid, line.uid])


def _task_href(row: Evidence, visitor: Visitor) -> str:
    """The page on which this visitor sees the task; none where they only receive it."""
    task = row.requirement.task
    if may(visitor, "see the project"):
        name = "task"
    elif task.trade in visitor.trades:
        name = "my-task"
    else:
        return ""
    return f"{reverse(name, args=[visitor.project.uid, task.uid])}#need-{row.requirement.uid}"


def _review_href(row: Evidence, visitor: Visitor) -> str:
    """The queue at this requirement, for whoever reviews it while it waits."""
    requirement = row.requirement
    scope = Scope(accepts=requirement.accepts, deputy=requirement.deputy)
    if not may(visitor, "see the project") or not may(visitor, "review evidence", scope):
        return ""
    return f"{reverse('reviews', args=[visitor.project.uid])}?look={requirement.uid}"


def _drawing() -> dict[str, object]:
    return {
        "bands": BANDS,
        "columns": COLUMNS,
        "rows": ROWS,
        "across": [str(words) for words in ACROSS.values()],
        "down": [str(words) for words in DOWN.values()],
        "points": {
            "arrow": [_("Where the arrow begins"), _("Where it points")],
            "ring": [_("One corner of the ring"), _("The opposite corner")],
            "dimension": [_("One end"), _("The other end")],
        },
        "at": _("%(point)s: %(place)s, square %(square)s"),
        "keys": _("Arrow keys move it, with Shift in small steps. Enter puts it, Escape leaves."),
        "drag": _("Drag across the photo, or drag the two corners."),
        "placed": _("It is placed. Say what it shows, then put it."),
        "left": _("Nothing is placed."),
    }
