"""On what a visit is booked: notice, free cancellation, confirmation, what a wasted trip and a day of waiting cost."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Literal

from django.db.models import Q

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import Reason
from coordination.access.visitors import Visitor
from coordination.dates.forecasting import Outlook
from coordination.dates.models import VisitTerms
from coordination.dates.refusals import VisitRefused
from coordination.dates.visiting import WORK
from coordination.scheduling.booking import Advice, DayCost, Readiness, Terms, VisitDays, advise, visit_days

MOST_NOTICE = 250
MOST_CENTS = 100_000_000
From = Literal["site", "supplier", "usual"]


@dataclass(frozen=True)
class Agreed:
    """Working days of the crew, and money in cents. ``entered`` says where it was entered, if it was."""

    lead_days: int = 10
    free_cancellation_days: int = 5
    confirm_days: int = 3
    wasted_trip_cents: int = 0
    waiting_day_cents: int = 0
    entered: From = field(default="usual", compare=False)

    @property
    def has_costs(self) -> bool:
        """Whether a day can be cheaper than another."""
        return bool(self.wasted_trip_cents and self.waiting_day_cents)


NUMBERS = ("lead_days", "free_cancellation_days", "confirm_days", "wasted_trip_cents", "waiting_day_cents")


def terms_of(projects: Iterable[Project]) -> dict[tuple[int, str], Agreed]:
    """What was agreed for each visit of each site, by the site's own key and the visit; one query for all of them.

    Where nobody has said anything, days of notice that are common practice and no costs.
    """
    listed = list(projects)
    suppliers = {project.supplier_id for project in listed}
    wanted = Q(project__in=listed) | Q(project__supplier__in=suppliers, for_all_sites=True)
    rows = list(VisitTerms.objects.filter(wanted).select_related("project").order_by("pk"))
    own = {(row.project_id, row.visit): row for row in rows}
    shared = {(row.project.supplier_id, row.visit): row for row in rows if row.for_all_sites}
    found = {}
    for project in listed:
        for visit in WORK:
            site, supplier = own.get((project.pk, visit)), shared.get((project.supplier_id, visit))
            found[project.pk, visit] = _agreed(site, "site") if site else _agreed(supplier, "supplier")
    return found


def set_terms(
    project: Project,
    visitor: Visitor,
    at: datetime,
    visit: str,
    agreed: Agreed,
    *,
    for_all_sites: bool = False,
) -> Agreed:
    """Enter what was agreed for a visit, of this site or of all sites of the supplier that have nothing of their own.

    The same standing already, nothing changes. Raises NotAllowed, VisitRefused.
    """
    require(visitor, "book a visit")
    numbers = {name: getattr(agreed, name) for name in NUMBERS}
    reasons = [] if visit in WORK else [Reason("no visit named")]
    if not all(0 <= numbers[name] <= MOST_NOTICE for name in NUMBERS[:3]):
        reasons.append(Reason("notice out of range", {"most": MOST_NOTICE}))
    if not all(0 <= numbers[name] <= MOST_CENTS for name in NUMBERS[3:]):
        reasons.append(Reason("cost out of range"))
    if reasons:
        raise VisitRefused(*reasons)
    with deciding(project, visitor, at) as pen:
        newest = VisitTerms.objects.filter(project=project, visit=visit).order_by("-pk").first()
        if newest and newest.for_all_sites == for_all_sites and _agreed(newest, "site") == agreed:
            pen.leave_as_it_is()
            return agreed
        told = {**numbers, "for_all_sites": for_all_sites}
        event = pen.write("visit terms set", subject=visit, body=told)
        VisitTerms.objects.create(
            project=project, visit=visit, for_all_sites=for_all_sites, event=event, **numbers
        )
    return agreed


def days_of(outlook: Outlook, agreed: Agreed, day: date) -> VisitDays:
    """The last days to book, to cancel free of charge and to confirm a visit on ``day``."""
    return visit_days(_terms(outlook, agreed), day)


def advice_for(
    outlook: Outlook, visit: str, agreed: Agreed, today: date, held_by: tuple[str, ...]
) -> Advice | None:
    """What each day costs from the first that can be booked; None where nothing of the visit is to come."""
    sure = outlook.of_visit(visit)
    return advise(sure.counts, _terms(outlook, agreed), today, held_by) if sure else None


def cost_on(outlook: Outlook, visit: str, agreed: Agreed, day: date) -> DayCost | None:
    """What a trip on ``day`` costs on average and how likely it is wasted, whether or not it can be booked."""
    sure = outlook.of_visit(visit)
    return Readiness(sure.counts).on(day, _terms(outlook, agreed)) if sure else None


def _terms(outlook: Outlook, agreed: Agreed) -> Terms:
    return Terms(
        calendar=outlook.crew,
        lead=agreed.lead_days,
        free_cancellation=agreed.free_cancellation_days,
        confirm=agreed.confirm_days,
        wasted_trip=agreed.wasted_trip_cents,
        waiting_day=agreed.waiting_day_cents,
    )


def _agreed(row: VisitTerms | None, entered: From) -> Agreed:
    return Agreed(**{name: getattr(row, name) for name in NUMBERS}, entered=entered) if row else Agreed()
