"""What a task waits for, and what waits for it: its links in words, each way one line a task."""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from coordination.access.visitors import Visitor
from coordination.gates.queries import Scene
from coordination.gates.sentences import names_of
from coordination.projects.models import Link, Task
from coordination.web.shapes.handoffs import company_or_trade
from coordination.web.shapes.task_sheets import address_for

KINDS: dict[str, str | Promise] = {
    "FS": _("begins after it"),
    "SS": _("begins once it has begun"),
    "FF": _("ends after it"),
    "SF": _("ends once it has begun"),
    "covers": _("hides it: it must be accepted first"),
}
KINDS_BACK: dict[str, str | Promise] = {
    "FS": _("begins after this"),
    "SS": _("begins once this has begun"),
    "FF": _("ends after this"),
    "SF": _("ends once this has begun"),
    "covers": _("hides this: this must be accepted first"),
}


@dataclass(frozen=True)
class Neighbour:
    """For components/schedule.html."""

    name: str
    state: str
    note: str
    href: str


@dataclass(frozen=True)
class Neighbours:
    before: tuple[Neighbour, ...]
    after: tuple[Neighbour, ...]


def neighbours_of(task: Task, scene: Scene, visitor: Visitor) -> Neighbours:
    """Both directions; what left the plan is left out."""
    holding = scene.holding
    into = [link for link in holding.links if link.after_id == task.pk]
    before = [_line(holding.task[link.before_id], link, KINDS, scene, visitor) for link in into]
    after = [
        _line(holding.task[link.after_id], link, KINDS_BACK, scene, visitor)
        for link in holding.links_out_of[task.pk]
    ]
    return Neighbours(_found(before), _found(after))


def _found(lines: list[Neighbour | None]) -> tuple[Neighbour, ...]:
    return tuple(line for line in lines if line is not None)


def _line(
    task: Task, link: Link, kinds: dict[str, str | Promise], scene: Scene, visitor: Visitor
) -> Neighbour | None:
    if task.retired_in is not None:
        return None
    words = [str(kinds[link.kind])]
    if link.lag:
        words.append(_lag(link))
    if link.handoff:
        words.append(str(_("with a handoff")))
    if not task.is_gate:
        words.append(company_or_trade(task.trade, scene))
    name = names_of(scene).task(task.key)
    return Neighbour(name, _state(task, scene), ", ".join(words), address_for(visitor, scene)(task))


def _lag(link: Link) -> str:
    if link.unit == "calendar":
        words = ngettext("%(days)s calendar day between", "%(days)s calendar days between", link.lag)
    else:
        words = ngettext("%(days)s working day between", "%(days)s working days between", link.lag)
    return words % {"days": link.lag}


def _state(task: Task, scene: Scene) -> str:
    if task.is_gate:
        gate = next(row for row in scene.holding.gates if row.task_id == task.pk)
        return scene.assessment.gates[gate.key].state
    return scene.ready(task).state
