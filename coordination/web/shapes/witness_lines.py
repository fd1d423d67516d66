"""Witness points on the screen: who may attend where, when they must be told, who was told, who came."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coordination.access.permissions import Scope, may
from coordination.access.visitors import Visitor
from coordination.dates.queries import schedule_of
from coordination.gates.models import WitnessPoint
from coordination.gates.queries import Scene
from coordination.gates.sentences import Names, party_words
from coordination.gates.witnessing import Point, points_of, told_by
from coordination.projects.models import Task
from coordination.web.missing import sheet_of
from coordination.web.texts import on_day, said

WORDS: Mapping[str, str | Promise] = {
    "none": gettext_lazy("not told yet"),
    "told": gettext_lazy("told"),
    "attended": gettext_lazy("attended"),
    "not attended": gettext_lazy("did not attend"),
}
MARKS = {"none": "none", "told": "handed in", "attended": "done", "not attended": "withdrawn"}


@dataclass(frozen=True)
class WitnessLine:
    """One point. ``tell_by`` is the last day on which notice is in time; ``anchor`` its place on the page."""

    task_uid: UUID
    key: str
    anchor: str
    party: str
    text: str
    task: str
    task_href: str
    state: str
    mark: str
    word: str
    sentence: str
    note: str
    tell_by: date | None
    notice_uid: UUID | None
    own_uid: UUID | None
    may_tell: bool
    may_say: bool
    may_end: bool


def witness_lines(scene: Scene, visitor: Visitor, keys: Iterable[str] | None = None) -> list[WitnessLine]:
    """Every point that the visitor may see; with ``keys`` only those on these tasks."""
    wanted = set(keys) if keys is not None else None
    days = schedule_of(scene.holding.project, scene.holding.today).tasks
    everything = may(visitor, "see the project")
    return [
        _line(point, scene, visitor, days[point.task.key].early_start if point.task.key in days else None)
        for point in points_of(scene.holding)
        if (wanted is None or point.task.key in wanted) and (everything or point.task.trade in visitor.trades)
    ]


def _line(point: Point, scene: Scene, visitor: Visitor, begins: date | None) -> WitnessLine:
    holding = scene.holding
    tells = may(visitor, "tell a witness", Scope(trade=point.task.trade))
    return WitnessLine(
        task_uid=point.task.uid,
        key=point.key,
        anchor=f"witness-{point.task.uid}-{point.key}",
        party=capfirst(party_words(point.party)),
        text=said(point.text),
        task=Names(holding).task(point.task.key),
        task_href=sheet_of(holding)(point.task),
        state=point.state,
        mark=MARKS[point.state],
        word=str(WORDS[point.state]),
        sentence=_sentence(point, _tell_by(point, scene, begins)),
        note=_note(point),
        tell_by=_tell_by(point, scene, begins),
        notice_uid=point.notice.uid if point.notice else None,
        own_uid=point.own.uid if point.own else None,
        may_tell=tells and point.task.finished_on is None,
        may_say=tells and point.notice is not None and point.notice.for_day <= holding.today,
        may_end=point.own is not None and may(visitor, "add a gate"),
    )


def _tell_by(point: Point, scene: Scene, begins: date | None) -> date | None:
    """While nobody was told of work that has not begun."""
    if point.state != "none" or point.task.begun_on is not None or begins is None:
        return None
    return told_by(scene.holding, point, begins)


def _sentence(point: Point, tell_by: date | None) -> str:
    """Who may attend, for which day they were told, and that nothing waits for them; or whether they came."""
    told = {"party": capfirst(party_words(point.party))}
    if point.notice is not None:
        told["day"] = on_day(point.notice.for_day)
        if point.state == "attended":
            return _("%(party)s attended on %(day)s.") % told
        if point.state == "not attended":
            return _("%(party)s was told for %(day)s and did not attend; work went on.") % told
        return _("%(party)s may attend; notice given for %(day)s; work goes on.") % told
    if tell_by is None:
        return _("%(party)s may attend; no notice given yet; work goes on.") % told
    told["day"] = on_day(tell_by)
    return _("%(party)s may attend; no notice given yet, in time until %(day)s; work goes on.") % told


def _note(point: Point) -> str:
    if point.notice is None:
        return ""
    told = _("told by %(who)s for %(day)s, %(how)s") % {
        "who": point.notice.given_name,
        "day": on_day(point.notice.for_day),
        "how": point.notice.how,
    }
    if point.short:
        told = _("%(told)s; later than the notice time asks (%(day)s)") % {
            "told": told,
            "day": on_day(point.notice.earliest),
        }
    if point.attendance is None:
        return told
    came = point.attendance.who if point.attendance.attended else ""
    return "; ".join(filter(None, (told, came, point.attendance.note)))


def points_on(task: Task) -> bool:
    """Whether people of the project let somebody attend at this task."""
    return WitnessPoint.objects.filter(task=task, ended_at=None).exists()
