"""Visits and baselines: booked once, moved with a trace, kept as they stood."""

import uuid
from datetime import date, timedelta

import pytest
from django.db import DatabaseError, IntegrityError, transaction

from coordination.access.deciding import deciding
from coordination.access.permissions import NotAllowed
from coordination.access.refusals import NotVisible
from coordination.dates.actions import ask_for_baseline, book_visit, call_off_visit, move_visit
from coordination.dates.baselines import Drift, dates_of, take_baseline
from coordination.dates.models import Baseline, Visit
from coordination.dates.queries import drift, portfolio, visits
from coordination.dates.refusals import VisitMoved, VisitRefused
from coordination.projects.actions import set_task_dates
from coordination.projects.models import Task
from coordination.record.models import Event
from coordination.record.queries import newest
from tests.projects.small_plans import FIRST, POUR
from tests.standing_cast import AT, gather

DAY = date(2026, 4, 6)
BEFORE = date(2026, 3, 30)


@pytest.fixture
def booked(cast):
    return book_visit(
        cast.project,
        cast.visitor("coordinator"),
        AT,
        key="rails and doors",
        day=DAY,
        confirm_by=BEFORE,
        wasted_trip_cents=185_000,
    )


def test_a_visit_is_booked_once(cast, booked):
    before = Event.objects.count()
    told = {"key": "rails and doors", "day": DAY, "confirm_by": BEFORE, "wasted_trip_cents": 185_000}
    assert book_visit(cast.project, cast.visitor("coordinator"), AT, **told) == booked
    with pytest.raises(VisitRefused) as refused:
        book_visit(cast.project, cast.visitor("coordinator"), AT, **{**told, "day": DAY + timedelta(days=1)})
    assert [(r.key, dict(r.args)) for r in refused.value.reasons] == [
        ("booked already", {"day": "2026-04-06"})
    ]
    assert (Event.objects.count(), visits(cast.project)) == (before, [booked])


def test_a_moved_visit_leaves_a_trace(cast, booked):
    coordinator = cast.visitor("coordinator")
    later = {"day": DAY + timedelta(days=7), "confirm_by": DAY}
    moved = move_visit(cast.project, coordinator, AT, booked.uid, **later)
    before = Event.objects.count()
    assert move_visit(cast.project, coordinator, AT, booked.uid, **later) == moved
    assert Event.objects.count() == before
    with pytest.raises(VisitMoved):
        move_visit(cast.project, coordinator, AT, booked.uid, day=DAY + timedelta(days=9), confirm_by=DAY)
    assert [(v.day, v.wasted_trip_cents) for v in visits(cast.project)] == [(date(2026, 4, 13), 185_000)]
    assert list(Visit.objects.order_by("pk").values_list("day", "moved_at")) == [
        (DAY, AT),
        (date(2026, 4, 13), None),
    ]
    told = newest(cast.project.stream, most=1)[0]
    assert (told.verb, told.subject, told.body["from"], told.body["day"]) == (
        "visit moved",
        "rails and doors",
        "2026-04-06",
        "2026-04-13",
    )


def test_days_that_cannot_be_are_named_all_at_once(cast):
    before = Event.objects.count()
    with pytest.raises(VisitRefused) as refused:
        book_visit(
            cast.project,
            cast.visitor("coordinator"),
            AT,
            key=" ",
            day=date(2026, 3, 1),
            confirm_by=DAY,
            wasted_trip_cents=-1,
        )
    assert [reason.key for reason in refused.value.reasons] == [
        "no visit named",
        "day is over",
        "confirm by after the visit",
        "cost out of range",
    ]
    assert (Event.objects.count(), Visit.objects.count()) == (before, 0)


def test_a_visit_that_was_called_off_is_not_moved(cast, booked):
    coordinator, before = cast.visitor("coordinator"), Event.objects.count()
    for _press in range(2):
        call_off_visit(cast.project, coordinator, AT, booked.uid)
    assert (Event.objects.count(), visits(cast.project)) == (before + 1, [])
    with pytest.raises(VisitMoved):
        move_visit(cast.project, coordinator, AT, booked.uid, day=DAY, confirm_by=DAY)
    other = gather("other.")
    with pytest.raises(NotVisible):
        call_off_visit(other.project, other.visitor("coordinator"), AT, booked.uid)


def test_a_visit_that_cannot_be_moved_there_stays_where_it_is(cast, booked):
    with pytest.raises(VisitRefused):
        move_visit(cast.project, cast.visitor("coordinator"), AT, booked.uid, day=BEFORE, confirm_by=DAY)
    booked.refresh_from_db()
    assert booked.moved_at is None


def test_only_the_coordinator_books_and_ids_of_others_are_not_visible(cast, booked):
    told = {"day": DAY + timedelta(days=7), "confirm_by": DAY}
    for name in ("contractor", "crew", "framer"):
        with pytest.raises(NotAllowed):
            move_visit(cast.project, cast.visitor(name), AT, booked.uid, **told)
    other = gather("other.")
    for uid in (booked.uid, uuid.uuid4()):
        with pytest.raises(NotVisible):
            move_visit(other.project, other.visitor("coordinator"), AT, uid, **told)


def test_the_next_visit_of_a_site_is_the_first_to_come(cast, booked):
    coordinator = cast.visitor("coordinator")
    adjust = book_visit(
        cast.project, coordinator, AT, key="adjusting", day=DAY + timedelta(days=30), confirm_by=DAY
    )
    seen = [
        portfolio([cast.project], today)[0].next_visit
        for today in (DAY, DAY + timedelta(days=1), date(2026, 6, 1))
    ]
    assert seen == [booked, adjust, None]


def test_the_database_holds_one_booking_per_visit(cast, booked):
    booked.pk, booked.uid = None, uuid.uuid4()
    with pytest.raises(IntegrityError), transaction.atomic():
        booked.save(force_insert=True)


def test_a_baseline_keeps_the_dates_as_they_stood(cast, stands):
    stands(FIRST)
    assert drift(cast.project, DAY) == []
    contractor = cast.visitor("contractor")
    first = ask_for_baseline(cast.project, contractor, AT, reason="agreed on site", today=DAY)
    assert (first.number, first.taken_on, dates_of(first)[POUR.key]) == (1, DAY, (DAY, date(2026, 4, 7)))
    pour = Task.objects.get(key=POUR.key)
    set_task_dates(cast.project, contractor, AT, pour.uid, own_duration=5)
    assert drift(cast.project, DAY) == [
        Drift("backing@rail-wall", date(2026, 4, 10), date(2026, 4, 15)),
        Drift("board@rail-wall", date(2026, 4, 16), date(2026, 4, 21)),
        Drift("pour@pit", date(2026, 4, 7), date(2026, 4, 10)),
    ]
    assert [each.days for each in drift(cast.project, DAY)] == [5, 5, 3]
    with deciding(cast.project, contractor, AT) as pen:
        event = pen.write("gate cleared", subject="close-in", body={})
        second = take_baseline(cast.project, event, reason="close-in cleared", today=DAY)
    assert (second.number, drift(cast.project, DAY), len(drift(cast.project, DAY, since=1))) == (2, [], 3)


def test_the_database_refuses_to_alter_a_baseline(real_database):
    cast = gather()
    ask_for_baseline(cast.project, cast.visitor("contractor"), AT, reason="x", today=DAY)
    for act in (lambda: Baseline.objects.update(reason="y"), lambda: Baseline.objects.all().delete()):
        with pytest.raises(DatabaseError, match="append-only"):
            act()
