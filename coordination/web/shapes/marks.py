"""The page of one photo: large, with its marks in the picture and in words, and what may be done with them."""

import json
from dataclasses import dataclass, field

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
from coordination.projects.models import Task
from coordination.web.shapes.photos import SMALL, Figure, MarkLine, figure, given_up_on, state_of
from coordination.web.shapes.scopes import scope_of


@dataclass(frozen=True)
class PutMark:
    """A mark in the list. ``back``: where it is taken back, ``to_reasons``: where it is made a reason of the refusal.

    Each is empty where the visitor does not.
    """

    line: MarkLine
    back: str
    to_reasons: str = ""


@dataclass(frozen=True)
class PhotoPage:
    """For photos/show.html. ``action`` is its own address, which a form posts to too.

    ``drawing``, as JSON, is what static/js/marks.js needs to say where a point lies.
    """

    action: str
    figure: Figure
    task: str
    task_href: str
    review_href: str
    marks: tuple[PutMark, ...]
    may_mark: bool
    squares: SafeString = field(default_factory=lambda: mark_safe(squares(prefix="squares")))
    draft: SafeString = field(default_factory=lambda: mark_safe(draft(prefix="draft")))
    drawing: str = field(default_factory=lambda: json.dumps(_drawing()))


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
        action=reverse("photo", args=[row.uid]),
        figure=shown,
        task=of_task(requirement.task),
        task_href=f"{where}#need-{requirement.uid}"
        if (where := task_href(requirement.task, visitor))
        else "",
        review_href=_review_href(row, visitor),
        marks=tuple(
            PutMark(line, _back(row, line) if _is_own(mark.row.by, visitor) and not line.is_reason else "")
            for mark, line in zip(item.marks, shown.marks, strict=True)
        ),
        may_mark=row.withdrawn_at is None and may(visitor, "mark a photo", scope_of_marks(requirement)),
    )


def _is_own(by: str, visitor: Visitor) -> bool:
    return by == visitor.identity


def _back(row: Evidence, line: MarkLine) -> str:
    return reverse("mark-take-back", args=[row.uid, line.uid])


def task_href(task: Task, visitor: Visitor) -> str:
    """The page on which this visitor sees the task; empty where there is none."""
    if not may(visitor, "see a task", scope_of(task)):
        return ""
    name = "task" if may(visitor, "see the project") else "my-task"
    return reverse(name, args=[visitor.project.uid, task.uid])


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
