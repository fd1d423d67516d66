"""Booking and moving visits of the lift crew, and asking for a baseline."""

import uuid
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.dates.baselines import take_baseline
from coordination.dates.models import Baseline, Visit
from coordination.dates.refusals import VisitMoved, VisitRefused
from coordination.record.models import Event

__all__ = ["ask_for_baseline", "book_visit", "call_off_visit", "move_visit", "take_baseline"]


@dataclass(frozen=True)
class _Booking:
    """The days and the cost of one booking."""

    day: date
    confirm_by: date
    wasted_trip_cents: int

    @property
    def told(self) -> dict[str, str | int]:
        """The booking as the record keeps it."""
        days = {"day": self.day.isoformat(), "confirm_by": self.confirm_by.isoformat()}
        return {**days, "wasted_trip_cents": self.wasted_trip_cents}


def book_visit(
    project: Project,
    visitor: Visitor,
    at: datetime,
    *,
    key: str,
    day: date,
    confirm_by: date,
    wasted_trip_cents: int = 0,
) -> Visit:
    """Book the visit ``key``. Booked for the same days already, nothing changes.

    Raises NotAllowed; VisitRefused where the days cannot be, or where another booking stands.
    """
    require(visitor, "book a visit")
    wanted = _Booking(day, confirm_by, wasted_trip_cents)
    with deciding(project, visitor, at) as pen:
        standing = Visit.objects.filter(project=project, key=key, moved_at__isnull=True).first()
        if standing is not None and _booking(standing) == wanted:
            pen.leave_as_it_is()
            return standing
        if standing is not None:
            raise VisitRefused(Reason("booked already", {"day": standing.day.isoformat()}))
        _refuse_what_cannot_be(project, at, key, wanted)
        uid = uuid.uuid4()
        event = pen.write("visit booked", subject=key, body={"visit": str(uid), **wanted.told})
        return _booked(project, key, event, uid, wanted)


def move_visit(
    project: Project, visitor: Visitor, at: datetime, visit_uid: uuid.UUID, *, day: date, confirm_by: date
) -> Visit:
    """Move a booking; the earlier one stays readable. Moved to these days already, nothing changes.

    Raises NotAllowed; NotVisible for a visit of another project; VisitMoved when the booking does not stand any
    more; VisitRefused.
    """
    require(visitor, "book a visit")
    with deciding(project, visitor, at) as pen:
        visit = Visit.objects.filter(project=project, uid=visit_uid).first()
        if visit is None:
            raise NotVisible
        standing = Visit.objects.filter(project=project, key=visit.key, moved_at__isnull=True).first()
        if standing is None:
            raise VisitMoved(Reason("moved already"))
        if (standing.day, standing.confirm_by) == (day, confirm_by):
            pen.leave_as_it_is()
            return standing
        if not Visit.objects.filter(pk=visit.pk, moved_at__isnull=True).update(moved_at=at):
            raise VisitMoved(Reason("moved already"))
        wanted = _Booking(day, confirm_by, visit.wasted_trip_cents)
        _refuse_what_cannot_be(project, at, visit.key, wanted)
        uid = uuid.uuid4()
        body = {"visit": str(uid), "from": visit.day.isoformat(), **wanted.told}
        return _booked(
            project, visit.key, pen.write("visit moved", subject=visit.key, body=body), uid, wanted
        )


def call_off_visit(project: Project, visitor: Visitor, at: datetime, visit_uid: uuid.UUID) -> None:
    """Call a booked visit off; the booking stays readable. Called off or moved already, nothing changes.

    Raises NotAllowed; NotVisible for a visit of another project.
    """
    require(visitor, "book a visit")
    with deciding(project, visitor, at) as pen:
        visit = Visit.objects.filter(project=project, uid=visit_uid).first()
        if visit is None:
            raise NotVisible
        if not Visit.objects.filter(pk=visit.pk, moved_at__isnull=True).update(moved_at=at):
            pen.leave_as_it_is()
            return
        body = {"visit": str(visit.uid), "day": visit.day.isoformat()}
        pen.write("visit called off", subject=visit.key, body=body)


def ask_for_baseline(
    project: Project, visitor: Visitor, at: datetime, *, reason: str, today: date
) -> Baseline:
    """Keep today's dates to compare with later ones. Raises NotAllowed."""
    require(visitor, "set a date")
    with deciding(project, visitor, at) as pen:
        event = pen.write("baseline taken", subject=project.name, body={"reason": reason})
        return take_baseline(project, event, reason=reason, today=today)


def _booked(project: Project, key: str, event: Event, uid: uuid.UUID, wanted: _Booking) -> Visit:
    return Visit.objects.create(uid=uid, project=project, key=key, event=event, **vars(wanted))


def _booking(visit: Visit) -> _Booking:
    return _Booking(visit.day, visit.confirm_by, visit.wasted_trip_cents)


def _refuse_what_cannot_be(project: Project, at: datetime, key: str, wanted: _Booking) -> None:
    reasons = []
    day, confirm_by = wanted.day.isoformat(), wanted.confirm_by.isoformat()
    if not key.strip():
        reasons.append(Reason("no visit named"))
    if wanted.day < at.astimezone(ZoneInfo(project.zone)).date():
        reasons.append(Reason("day is over", {"day": day}))
    if wanted.confirm_by > wanted.day:
        reasons.append(Reason("confirm by after the visit", {"confirm_by": confirm_by, "day": day}))
    if wanted.wasted_trip_cents < 0:
        reasons.append(Reason("cost out of range"))
    if reasons:
        raise VisitRefused(*reasons)
