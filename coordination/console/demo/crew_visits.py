"""The crew's first visit in the demo: on what it is booked, the statement, the word to come, a call before it."""

import uuid
from datetime import date, datetime, timedelta

from coordination.access.models import Project
from coordination.access.visitors import Visitor
from coordination.dates.actions import book_visit
from coordination.dates.calls import Calling, log_call
from coordination.dates.models import Visit
from coordination.dates.refusals import VisitNoGo
from coordination.dates.visit_terms import Agreed, set_terms
from coordination.gates.actions import confirm_visit, sign_site_ready
from coordination.gates.calendars import local_day
from coordination.gates.queries import look_at
from coordination.gates.visits import STATEMENT_WORK, blocking, proof_of, to_do

VISIT = "rails"
AGREED = Agreed(8, 5, 3, 185_000, 24_000)
WORDS = "The site is ready for the crew; everything on this page was looked at today."
SHORT = {4: 3, 5: 2}


def agree(project: Project, coordinator: Visitor, at: datetime) -> None:
    """What the supplier's visits are booked on, for all its sites."""
    set_terms(project, coordinator, at, VISIT, AGREED, for_all_sites=True)


def sign_for_tomorrow(
    project: Project, coordinator: Visitor, contractor: Visitor, at: datetime
) -> Visit | None:
    """Once nothing but signatures is missing: book the crew for the next weekday, and sign that the site is ready."""
    scene = look_at(project, at)
    works = [task for task in scene.holding.tasks if task.entry == STATEMENT_WORK and task.finished_on]
    begun = any(task.begun_on for task in to_do(scene.holding, VISIT))
    if not works or begun or proof_of(scene, VISIT).missing:
        return None
    today = local_day(project, at)
    day = today + timedelta(days=SHORT.get(today.weekday(), 1))
    visit = book_visit(
        project,
        coordinator,
        at,
        key=VISIT,
        day=day,
        confirm_by=today,
        wasted_trip_cents=AGREED.wasted_trip_cents,
    )
    sign_site_ready(project, contractor, at, visit.uid, words=WORDS)
    return visit


def let_come(project: Project, coordinator: Visitor, at: datetime, visit: Visit) -> bool:
    """Confirm the visit as soon as the list is clear; gives whether that is settled, also when its day is over."""
    if local_day(project, at) > visit.day:
        return True
    try:
        confirm_visit(project, coordinator, at, visit.uid)
    except VisitNoGo:
        return False
    return True


def call_whoever_blocks(project: Project, coordinator: Visitor, at: datetime) -> None:
    """One call about the visit, to a company that holds it up; whose work was refused comes first."""
    owed = [item for item in blocking(look_at(project, at), VISIT) if item.owner and item.phone]
    owed.sort(key=lambda item: item.kind != "refused")
    if owed:
        calling = Calling(VISIT, owed[0].owner, owed[0].phone, "no answer")
        log_call(project, coordinator, at, uuid.uuid5(project.uid, f"call {at.isoformat()}"), calling)


def weekday_from(day: date) -> date:
    """The day itself, or the Monday after it."""
    return day + timedelta(days=(0, 0, 0, 0, 0, 2, 1)[day.weekday()])
