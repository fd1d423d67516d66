"""What a change of plan costs in work that is done: what is done again, opened up, looked at again or for nothing."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coordination.projects.models import Task as Row
from coordination.projects.queries import ChangeView
from coordination.siteprep.plan import Plan, Rework, compare, rework
from coordination.web.texts import said

KINDS: Mapping[str, str | Promise] = {
    "do again": gettext_lazy("done under other terms; it must be shown again"),
    "look again": gettext_lazy("done; look whether it still fits the new words"),
    "open up": gettext_lazy("new work behind work that is done; it must be opened up"),
    "out of order": gettext_lazy("new work that should have come before work that is done"),
    "not needed": gettext_lazy("done, and no longer asked for"),
}


@dataclass(frozen=True)
class ReworkLine:
    """One task to which work comes back, why in words, and the finished work that is in the way."""

    name: str
    why: str
    behind: str


def rework_lines(change: ChangeView, rows: Iterable[Row]) -> list[ReworkLine]:
    """In the order of the proposed plan; empty for a first plan, and where no finished work is touched."""
    if change.is_first:
        return []
    done = frozenset(row.key for row in rows if row.finished_on is not None and row.retired_in is None)
    names = {**_names(change.standing), **_names(change.proposed)}
    found = rework(compare(change.standing, change.proposed), done, change.proposed)
    return [_line(each, names) for each in found]


def _names(plan: Plan) -> dict[str, str]:
    places = {place.key: said(place.text) for place in plan.places}
    return {task.key: f"{said(task.text)}, {places.get(task.place, task.place)}" for task in plan.tasks}


def _line(each: Rework, names: Mapping[str, str]) -> ReworkLine:
    behind = [names.get(key, key) for key in (*each.covered_by, *each.after)]
    words = _("Behind or before: %(work)s") % {"work": "; ".join(behind)} if behind else ""
    return ReworkLine(names.get(each.task, each.task), str(KINDS[each.kind]), words)
