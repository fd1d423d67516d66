"""Entering crews, what sites ask of them, and the way between sites. All of it stands in the supplier's own stream."""

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from coordination.access.deciding import deciding_for_supplier
from coordination.access.models import Assignment, Company, Project
from coordination.access.permissions import require
from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.dates.crew_models import HEAVIEST
from coordination.dates.models import Crew, SiteAsks, Way
from coordination.dates.refusals import CrewRefused
from coordination.scheduling.calendars import EVERY_DAY

MOST_PEOPLE, MOST_DAYS = 99, 30


@dataclass(frozen=True)
class Point:
    """Where something is, in degrees north and east; None is not known."""

    latitude: float | None = None
    longitude: float | None = None

    @property
    def faults(self) -> list[Reason]:
        """What cannot be."""
        if (self.latitude is None) != (self.longitude is None):
            return [Reason("place out of range")]
        beyond = abs(self.latitude or 0.0) > 90 or abs(self.longitude or 0.0) > 180
        return [Reason("place out of range")] if beyond else []


@dataclass(frozen=True)
class CrewInput:
    """What is said of a crew."""

    company: uuid.UUID
    trade: str
    name: str
    people: int = 2
    home: str = ""
    point: Point = Point()
    weekdays: frozenset[int] = frozenset(range(5))
    away: Sequence[date] = ()


@dataclass(frozen=True)
class Asked:
    """What is said of a site: the weight of a day late, the day it is wanted, the day it would have the crew."""

    weight: int = 1
    wanted_by: date | None = None
    wish: date | None = None
    point: Point = Point()


def trades_with_companies(visitor: Visitor) -> list[tuple[str, Company]]:
    """Each trade with a company that does it on a running site of the visitor's supplier, by trade and name."""
    standing = Assignment.objects.filter(
        project__supplier=visitor.project.supplier_id, project__stage="running", ended_at__isnull=True
    )
    pairs = {(row.trade, row.company) for row in standing.select_related("company")}
    return sorted(pairs, key=lambda pair: (pair[0] != "lift", pair[0], pair[1].name))


def enter_crew(visitor: Visitor, at: datetime, told: CrewInput, *, uid: uuid.UUID | None = None) -> Crew:
    """Enter a crew, or alter the standing one with this ``uid``. The same again changes nothing.

    Raises NotAllowed, CrewRefused.
    """
    require(visitor, "level the crews")
    supplier = visitor.project.supplier
    with deciding_for_supplier(visitor, at) as pen:
        company = Company.objects.filter(supplier=supplier, uid=told.company).first()
        _refuse(told, company, trades_with_companies(visitor))
        assert company is not None  # noqa: S101 - refused above
        values = _values(told, company)
        known = Crew.objects.filter(supplier=supplier, uid=uid).first() if uid else None
        namesake = Crew.objects.filter(company=company, name=values["name"], ended_at__isnull=True)
        if namesake.exclude(pk=known.pk if known else None).exists():
            raise CrewRefused(Reason("crew of that name", {"name": values["name"]}))
        if known is not None and all(getattr(known, field) == value for field, value in values.items()):
            pen.leave_as_it_is()
            return known
        uid = known.uid if known else uid or uuid.uuid4()
        body = {name: value for name, value in values.items() if name != "company"}
        verb = "crew altered" if known else "crew entered"
        event = pen.write(verb, subject=str(uid), body={**body, "company": str(company.uid)})
        if known is None:
            return Crew.objects.create(uid=uid, supplier=supplier, event=event, **values)
        Crew.objects.filter(pk=known.pk).update(event=event, **values)
        known.refresh_from_db()
        return known


def end_crew(visitor: Visitor, at: datetime, uid: uuid.UUID) -> Crew:
    """Let a crew go on no site any more. Ended already, nothing changes. Raises NotAllowed, NotVisible."""
    require(visitor, "level the crews")
    with deciding_for_supplier(visitor, at) as pen:
        crew = Crew.objects.filter(supplier=visitor.project.supplier_id, uid=uid).first()
        if crew is None:
            raise NotVisible
        if crew.ended_at is not None:
            pen.leave_as_it_is()
            return crew
        pen.write("crew ended", subject=str(uid), body={"name": crew.name})
        Crew.objects.filter(pk=crew.pk).update(ended_at=at)
        return crew


def ask_for_site(visitor: Visitor, at: datetime, project_uid: uuid.UUID, asked: Asked) -> SiteAsks:
    """Keep what a site asks. The same again changes nothing. Raises NotAllowed, NotVisible, CrewRefused."""
    require(visitor, "level the crews")
    faults = asked.point.faults
    if not 1 <= asked.weight <= HEAVIEST:
        faults = [*faults, Reason("weight out of range", {"most": HEAVIEST})]
    if faults:
        raise CrewRefused(*faults)
    values = {"weight": asked.weight, "wanted_by": asked.wanted_by, "wish": asked.wish, **vars(asked.point)}
    with deciding_for_supplier(visitor, at) as pen:
        project = sites(visitor).filter(uid=project_uid).first()
        if project is None:
            raise NotVisible
        known = SiteAsks.objects.filter(project=project).first()
        if known is not None and all(getattr(known, field) == value for field, value in values.items()):
            pen.leave_as_it_is()
            return known
        body = {
            name: value.isoformat() if isinstance(value, date) else value for name, value in values.items()
        }
        event = pen.write("site asks", subject=str(project.uid), body=body)
        row, _new = SiteAsks.objects.update_or_create(project=project, defaults={**values, "event": event})
        return row


def enter_way(visitor: Visitor, at: datetime, one: uuid.UUID, other: uuid.UUID, days: int | None) -> None:
    """Keep the days on the road between two sites; None goes back to what the distance says.

    Raises NotAllowed, NotVisible, CrewRefused.
    """
    require(visitor, "level the crews")
    if one == other:
        raise CrewRefused(Reason("way to itself"))
    if days is not None and not 0 <= days <= MOST_DAYS:
        raise CrewRefused(Reason("way out of range"))
    with deciding_for_supplier(visitor, at) as pen:
        ends = list(sites(visitor).filter(uid__in=[one, other]).order_by("pk"))
        if len(ends) != 2:
            raise NotVisible
        known = Way.objects.filter(one=ends[0], other=ends[1]).first()
        if (known.days if known else None) == days:
            pen.leave_as_it_is()
            return
        event = pen.write("way entered", subject=f"{ends[0].uid} {ends[1].uid}", body={"days": days})
        if days is None:
            Way.objects.filter(one=ends[0], other=ends[1]).delete()
        else:
            Way.objects.update_or_create(one=ends[0], other=ends[1], defaults={"days": days, "event": event})


def sites(visitor: Visitor) -> Any:
    """The running sites of the visitor's supplier."""
    return Project.objects.filter(supplier=visitor.project.supplier_id, stage="running")


def _refuse(told: CrewInput, company: Company | None, known: Iterable[tuple[str, Company]]) -> None:
    faults = told.point.faults
    if not told.name.strip():
        faults = [*faults, Reason("crew without a name")]
    if company is None:
        faults = [*faults, Reason("company unknown")]
    elif (told.trade, company) not in set(known):
        faults = [*faults, Reason("trade unknown", {"typed": told.trade})]
    if not 1 <= told.people <= MOST_PEOPLE:
        faults = [*faults, Reason("people out of range")]
    if not told.weekdays or not told.weekdays <= EVERY_DAY:
        faults = [*faults, Reason("crew works no day")]
    if faults:
        raise CrewRefused(*faults)


def _values(told: CrewInput, company: Company) -> dict[str, Any]:
    return {
        "company": company,
        "trade": told.trade,
        "name": told.name.strip()[:60],
        "people": told.people,
        "home": told.home.strip()[:120],
        **vars(told.point),
        "weekdays": sorted(told.weekdays),
        "away": sorted(day.isoformat() for day in set(told.away)),
    }
