"""Entering what cost a task working days without showing in the record: weather, a closed site, a delivery."""

import uuid
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.dates.models import DelayCause
from coordination.dates.refusals import CauseRefused
from coordination.projects.models import Task

MOST_DAYS = 250


@dataclass(frozen=True)
class CauseInput:
    """What happened: to which task (its key), of which kind, from which day on, and how many working days it cost."""

    task: str
    kind: str
    first: date
    days: int
    words: str


def enter_cause(
    project: Project, visitor: Visitor, at: datetime, told: CauseInput, *, uid: uuid.UUID | None = None
) -> DelayCause:
    """Keep a cause of delay. With a known ``uid`` nothing changes. Raises NotAllowed, CauseRefused."""
    require(visitor, "set a date")
    uid = uid or uuid.uuid4()
    with deciding(project, visitor, at) as pen:
        if known := DelayCause.objects.filter(project=project, uid=uid).first():
            pen.leave_as_it_is()
            return known
        _refuse_what_cannot_be(project, told, at)
        values = {**vars(told), "words": told.words.strip()[:300]}
        body = {**values, "first": told.first.isoformat(), "note": values["words"]}
        event = pen.write("delay entered", subject=told.task, body={**body, "cause": str(uid)})
        return DelayCause.objects.create(uid=uid, project=project, event=event, **values)


def take_cause_back(project: Project, visitor: Visitor, at: datetime, uid: uuid.UUID) -> DelayCause:
    """Let a cause count no more; it stays readable. Twice is once. Raises NotAllowed, NotVisible."""
    require(visitor, "set a date")
    with deciding(project, visitor, at) as pen:
        row = DelayCause.objects.filter(project=project, uid=uid).first()
        if row is None:
            raise NotVisible
        if row.taken_back_at:
            pen.leave_as_it_is()
            return row
        pen.write("delay taken back", subject=row.task, body={"cause": str(uid), "note": row.words})
        DelayCause.objects.filter(pk=row.pk).update(taken_back_at=at)
        row.refresh_from_db()
        return row


def _refuse_what_cannot_be(project: Project, told: CauseInput, at: datetime) -> None:
    faults = []
    if not Task.objects.filter(
        project=project, key=told.task, retired_in__isnull=True, is_gate=False
    ).exists():
        faults.append(Reason("cause without a task"))
    if told.kind not in DelayCause.KINDS:
        faults.append(Reason("cause of no kind"))
    if not 1 <= told.days <= MOST_DAYS:
        faults.append(Reason("cause days out of range"))
    if not told.words.strip():
        faults.append(Reason("cause without words"))
    if told.first > at.astimezone(ZoneInfo(project.zone)).date():
        faults.append(Reason("cause lies ahead", {"day": told.first.isoformat()}))
    if faults:
        raise CauseRefused(*faults)
