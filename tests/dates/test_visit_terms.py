"""On what visits are booked, what each day costs, and the calls about them."""

import uuid
from datetime import date, timedelta

import pytest

from coordination.access import actions as access
from coordination.access.permissions import NotAllowed
from coordination.access.refusals import Reason
from coordination.dates.calls import Calling, last_calls, log_call
from coordination.dates.forecasting import outlook_of
from coordination.dates.models import Call
from coordination.dates.refusals import CallRefused, VisitRefused
from coordination.dates.visit_terms import Agreed, advice_for, cost_on, days_of, set_terms, terms_of
from coordination.record.models import Event
from coordination.siteprep.plan import Link
from tests.projects.small_plans import BACKING, POUR, plan, task
from tests.standing_cast import AT, gather

TODAY = date(2026, 3, 2)
TOLD = Agreed(4, 3, 2, 185_000, 22_000)
RAILS = task("rails@rail-wall", "lift", calendar="lift")
CREW = plan(POUR, BACKING, RAILS, links=(Link(POUR.key, BACKING.key), Link(BACKING.key, RAILS.key)))
CALLING = Calling("rails", "Copper Creek Framing", "555-0142", "reached")


def terms(cast, visit="rails"):
    return terms_of([cast.project])[cast.project.pk, visit]


def enter(cast, agreed=TOLD, visit="rails", by="coordinator", **more):
    return set_terms(cast.project, cast.visitor(by), AT, visit, agreed, **more)


def test_terms_are_entered_once_and_the_newest_count(cast):
    assert (terms(cast), terms(cast).entered, terms(cast).has_costs) == (Agreed(), "usual", False)
    before = Event.objects.count()
    assert [enter(cast) for _press in range(2)] == [TOLD, TOLD]
    assert (Event.objects.count(), terms(cast), terms(cast).entered) == (before + 1, TOLD, "site")
    other = Agreed(6, 3, 2, 200_000, 22_000)
    enter(cast, other)
    assert (terms(cast), terms(cast, "return")) == (other, Agreed())


def test_what_is_entered_for_all_sites_holds_where_a_site_has_nothing_of_its_own(cast):
    enter(cast, for_all_sites=True)
    person, company = cast.people["coordinator"], cast.companies["supplier"]
    told = {"name": "Second", "place": "", "zone": "America/New_York", "at": AT}
    second = access.open_project(cast.supplier, person, company, **told)
    far = gather("far.")
    found = terms_of([second, far.project])
    assert (found[second.pk, "rails"], found[second.pk, "rails"].entered) == (TOLD, "supplier")
    assert found[far.project.pk, "rails"] == Agreed()


def test_terms_that_cannot_be_are_named_all_at_once(cast):
    with pytest.raises(VisitRefused) as refused:
        enter(cast, Agreed(lead_days=999, wasted_trip_cents=-1), visit="party")
    assert [reason.key for reason in refused.value.reasons] == [
        "no visit named",
        "notice out of range",
        "cost out of range",
    ]
    for name in ("contractor", "crew"):
        with pytest.raises(NotAllowed):
            enter(cast, by=name)


def test_the_days_of_a_visit_count_in_the_crews_own_days(cast, stands):
    stands(CREW)
    days = days_of(outlook_of(cast.project, TODAY), TOLD, date(2026, 3, 17))
    assert (days.book_by, days.last_free_cancellation, days.confirm_by) == (
        date(2026, 3, 11),
        date(2026, 3, 12),
        date(2026, 3, 13),
    )


def test_advice_weighs_a_wasted_trip_against_waiting_from_the_first_bookable_day(cast, stands):
    stands(CREW)
    outlook = outlook_of(cast.project, TODAY)
    advice = advice_for(outlook, "rails", TOLD, TODAY, ())
    assert advice.curve[0].day == date(2026, 3, 6)
    assert advice.curve[-1].wasted == 0
    assert advice.cheapest == min(advice.curve, key=lambda on: on.cost)
    assert [on.wasted for on in advice.curve] == sorted((on.wasted for on in advice.curve), reverse=True)
    chosen = advice.curve[2]
    assert cost_on(outlook, "rails", TOLD, chosen.day) == chosen
    ready = sum(n for day, n in outlook.of_visit("rails").counts.items() if day <= chosen.day)
    assert chosen.wasted == pytest.approx(1 - ready / 10_000)
    held = advice_for(outlook, "rails", TOLD, TODAY, ("ready-for-crew",))
    assert (held.advised, held.cheapest) == (None, advice.cheapest)
    assert advice_for(outlook, "inspection", TOLD, TODAY, ()) is None


def test_a_call_is_logged_once_however_often_it_is_pressed(cast):
    key, before = uuid.uuid4(), Event.objects.count()
    calls = {log_call(cast.project, cast.visitor("coordinator"), AT, key, CALLING) for _press in range(2)}
    assert (len(calls), Event.objects.count()) == (1, before + 1)
    later = AT + timedelta(hours=2)
    again = log_call(cast.project, cast.visitor("coordinator"), later, uuid.uuid4(), CALLING)
    place = (cast.project.pk, "Copper Creek Framing", "555-0142")
    assert last_calls([cast.project]) == {place: again}
    assert (again.name, again.at, again.outcome) == ("Ida Marsh", later, "reached")


@pytest.mark.parametrize(
    ("calling", "key"),
    [
        (Calling("party", "x", "", "reached"), "no visit named"),
        (Calling("rails", " ", "", "reached"), "nobody called"),
        (Calling("rails", "x" * 161, "", "reached"), "nobody called"),
        (Calling("rails", "x", "", "left a note"), "no such outcome"),
    ],
)
def test_a_call_that_cannot_be_is_refused(cast, calling, key):
    with pytest.raises(CallRefused) as refused:
        log_call(cast.project, cast.visitor("coordinator"), AT, uuid.uuid4(), calling)
    assert [reason.key for reason in refused.value.reasons] == [key]
    assert Call.objects.count() == 0


def test_only_the_coordinator_logs_and_a_key_is_of_one_site(cast):
    key = uuid.uuid4()
    log_call(cast.project, cast.visitor("coordinator"), AT, key, CALLING)
    for name in ("contractor", "crew", "owner"):
        with pytest.raises(NotAllowed):
            log_call(cast.project, cast.visitor(name), AT, uuid.uuid4(), CALLING)
    far = gather("far.")
    with pytest.raises(CallRefused) as refused:
        log_call(far.project, far.visitor("coordinator"), AT, key, CALLING)
    assert refused.value.reasons == (Reason("call key used"),)
