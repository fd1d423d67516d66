"""Telling a party when it may attend, and saying whether it came. No work waits for either."""

from datetime import date, datetime
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import Scope, require
from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.gates.models import Attendance, WitnessNotice, WitnessPoint
from coordination.gates.refusals import NoWitness
from coordination.gates.scene import Scene, look_at
from coordination.gates.witnessing import Point, earliest_day, points_of
from coordination.siteprep.plan_parts import WITNESSES

MOST_NOTICE = 30


def add_witness_point(
    project: Project,
    visitor: Visitor,
    at: datetime,
    task_uid: UUID,
    *,
    party: str,
    text: str,
    notice_days: int = 2,
) -> WitnessPoint:
    """Let a party attend at a task of the project. Raises NoWitness, NotAllowed, NotVisible, LeftThePlan."""
    require(visitor, "add a gate")
    with deciding(project, visitor, at) as pen:
        task = look_at(project, at).work(task_uid)
        reasons = [] if party in WITNESSES else [Reason("no such party", {"typed": party})]
        reasons += [] if text.strip() else [Reason("say what is witnessed")]
        reasons += [] if 0 <= notice_days <= MOST_NOTICE else [Reason("notice out of range")]
        if task.finished_on is not None:
            reasons.append(Reason("nothing left to witness", {"subject": task.key}))
        if reasons:
            raise NoWitness(*reasons)
        body = {"party": party, "text": text.strip()[:200], "notice_days": notice_days}
        event = pen.write("witness point added", subject=task.key, body=body)
        return WitnessPoint.objects.create(task=task, event=event, **body)


def take_back_witness_point(project: Project, visitor: Visitor, at: datetime, point_uid: UUID) -> None:
    """Take back a point of the project's own; notices that were given stay. Done already, nothing changes.

    Raises NotAllowed, NotVisible.
    """
    require(visitor, "add a gate")
    with deciding(project, visitor, at) as pen:
        row = WitnessPoint.objects.filter(uid=point_uid, task__project=project).select_related("task").first()
        if row is None:
            raise NotVisible
        if row.ended_at is not None:
            pen.leave_as_it_is()
            return
        WitnessPoint.objects.filter(pk=row.pk, ended_at=None).update(ended_at=at)
        pen.write("witness point taken back", subject=row.task.key, body={"point": str(row.uid)})


def tell_witness(
    project: Project,
    visitor: Visitor,
    at: datetime,
    task_uid: UUID,
    point: str,
    *,
    for_day: date,
    how: str,
    party_name: str = "",
) -> WitnessNotice:
    """Keep that a party was told for a day, and how. The same day told already, nothing changes.

    Too short a notice is kept as it is: the party may still come.
    Raises NoWitness, NotAllowed, NotVisible, LeftThePlan.
    """
    with deciding(project, visitor, at) as pen:
        scene = look_at(project, at)
        found = _point(scene, task_uid, point)
        require(visitor, "tell a witness", Scope(trade=found.task.trade))
        if found.notice is not None and found.notice.for_day == for_day and found.attendance is None:
            pen.leave_as_it_is()
            return found.notice
        reasons = [] if how.strip() else [Reason("say how it was told")]
        if for_day < scene.holding.today:
            reasons.append(Reason("told for a day that is over", {"day": for_day.isoformat()}))
        if reasons:
            raise NoWitness(*reasons)
        earliest = earliest_day(scene.holding, found)
        name = party_name.strip() or _name_of(scene, found.party)
        body = {
            "point": found.key,
            "party": found.party,
            "party_name": name[:120],
            "day": for_day.isoformat(),
            "earliest": earliest.isoformat(),
            "how": how.strip()[:120],
        }
        event = pen.write("witness told", subject=found.task.key, body=body)
        return WitnessNotice.objects.create(
            task=found.task,
            point=found.key,
            party=found.party,
            party_name=name[:120],
            for_day=for_day,
            earliest=earliest,
            how=how.strip()[:120],
            given_by=visitor.identity,
            given_name=visitor.name,
            at=at,
            event=event,
        )


def say_attended(
    project: Project,
    visitor: Visitor,
    at: datetime,
    notice_uid: UUID,
    *,
    attended: bool,
    who: str = "",
    note: str = "",
) -> Attendance:
    """Keep whether the party came. The same said already, nothing changes. Raises NoWitness, NotAllowed, NotVisible."""
    with deciding(project, visitor, at) as pen:
        row = (
            WitnessNotice.objects.filter(uid=notice_uid, task__project=project).select_related("task").first()
        )
        if row is None:
            raise NotVisible
        require(visitor, "tell a witness", Scope(trade=row.task.trade))
        before = Attendance.objects.filter(notice=row).order_by("-pk").first()
        if before is not None and (before.attended, before.who) == (attended, who.strip()):
            pen.leave_as_it_is()
            return before
        reasons = []
        if row.for_day > look_at(project, at).holding.today:
            reasons.append(Reason("not the day yet", {"day": row.for_day.isoformat()}))
        if attended and not who.strip():
            reasons.append(Reason("say who came"))
        if reasons:
            raise NoWitness(*reasons)
        said = {"attended": attended, "who": who.strip()[:120], "note": note.strip()[:500]}
        event = pen.write("witness attended", subject=row.task.key, body={"notice": str(row.uid), **said})
        return Attendance.objects.create(
            notice=row, said_by=visitor.identity, said_name=visitor.name, at=at, event=event, **said
        )


def _point(scene: Scene, task_uid: UUID, key: str) -> Point:
    task = scene.work(task_uid)
    found = next((each for each in points_of(scene.holding) if each.task == task and each.key == key), None)
    if found is None:
        raise NotVisible
    return found


def _name_of(scene: Scene, party: str) -> str:
    found = scene.standing.parties.get(party)
    return found.name if found else ""
