"""The work that can be supposed to slip, and what a supposed change says in words."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from coordination.access.models import Project
from coordination.dates.models import OwnLink
from coordination.dates.networks import counting
from coordination.dates.queries import DatedPlan
from coordination.projects.models import Link, Task
from coordination.web.shapes.what_if import day_words
from coordination.web.texts import said


@dataclass(frozen=True)
class OwnLinkLine:
    """A link that people added; ``counts`` is False once its work left the plan or it would close a ring."""

    uid: UUID
    words: str
    counts: bool


def open_tasks(project: Project) -> list[Task]:
    """The work that is not finished, in the order of the plan."""
    live = Task.objects.filter(project=project, retired_in__isnull=True, is_gate=False)
    return list(live.filter(finished_on__isnull=True).order_by("place_order", "key"))


def task_names(rows: Iterable[Task]) -> list[tuple[str, str]]:
    """Choices of a form: the task by uid; where two are called the same, the place is told."""
    listed = list(rows)
    names = [said(row.derived["text"]) for row in listed]
    return [
        (str(row.uid), name if names.count(name) == 1 else f"{name} ({row.place})")
        for row, name in zip(listed, names, strict=True)
    ]


def slipped(row: Task, dated: DatedPlan, later: int) -> dict[str, Any]:
    """People's own columns of a task that comes ``later`` working days later, or takes longer once it has begun."""
    if row.begun_on is not None:
        return {"own_duration": (row.own_duration or row.derived["duration"]["likely"]) + later}
    calendar = dated.schedule.network.calendars[row.derived["calendar"]]
    return {"not_before": calendar.add(dated.tasks[row.key].early_start, later)}


def task_words(row: Task, own: Mapping[str, Any]) -> list[str]:
    """What is altered on a task, before and after."""
    labels = {
        "not_before": _("not before"),
        "done_by": _("to be done by"),
        "own_duration": _("working days it takes"),
    }
    before = {
        "own_duration": row.own_duration or row.derived["duration"]["likely"],
        "not_before": row.not_before,
        "done_by": row.done_by,
    }
    after = {**own, "own_duration": own.get("own_duration") or row.derived["duration"]["likely"]}
    return [
        _("%(task)s: %(what)s: %(before)s → %(after)s")
        % {
            "task": said(row.derived["text"]),
            "what": labels[name],
            "before": _value(before[name]),
            "after": _value(after[name]),
        }
        for name in labels
        if name in own
    ]


def link_words(link: OwnLink, rows: Iterable[Task]) -> str:
    """A link in one sentence."""
    listed = list(rows)
    names = {row.key: name for row, (_uid, name) in zip(listed, task_names(listed), strict=True)}
    told = {"before": names.get(link.before, link.before), "after": names.get(link.after, link.after)}
    sentence = {
        "FS": _("“%(after)s” starts when “%(before)s” is finished"),
        "SS": _("“%(after)s” starts when “%(before)s” has started"),
        "FF": _("“%(after)s” finishes when “%(before)s” is finished"),
        "SF": _("“%(after)s” finishes when “%(before)s” has started"),
    }[link.kind] % told
    return f"{sentence}, {_lag(link)}" if link.lag else sentence


def link_lines(project: Project, rows: Iterable[Task]) -> list[OwnLinkLine]:
    """People's own links, the oldest first."""
    standing = list(OwnLink.objects.filter(project=project, ended_at__isnull=True).order_by("pk"))
    if not standing:
        return []
    links = Link.objects.filter(
        before__project=project,
        retired_in__isnull=True,
        before__retired_in__isnull=True,
        after__retired_in__isnull=True,
    )
    pairs = list(links.values_list("before__key", "after__key"))
    live = Task.objects.filter(project=project, retired_in__isnull=True)
    named = list(live)
    counted = {link.pk for link in counting(standing, pairs, (row.key for row in named))}
    return [OwnLinkLine(link.uid, link_words(link, named), link.pk in counted) for link in standing]


def _value(value: Any) -> str:
    if value is None:
        return pgettext("a day that nobody has set", "none")
    return day_words(value) if isinstance(value, date) else str(value)


def _lag(link: OwnLink) -> str:
    days = abs(link.lag)
    if link.unit == "working":
        told = ngettext("%(n)d working day", "%(n)d working days", days) % {"n": days}
    else:
        told = ngettext("%(n)d calendar day", "%(n)d calendar days", days) % {"n": days}
    return (
        _("%(days)s after it") % {"days": told} if link.lag > 0 else _("%(days)s before it") % {"days": told}
    )
