"""Crews, what sites ask of them, and levelling them over all sites of a supplier."""

import json
import uuid
from dataclasses import replace
from datetime import date, timedelta

import pytest

from coordination.access.permissions import NotAllowed
from coordination.access.queries import coordinator_of
from coordination.access.refusals import NotVisible, Reason
from coordination.dates import levelling_runs
from coordination.dates.actions import book_visit
from coordination.dates.crews import Asked, Point, ask_for_site, end_crew, enter_crew, enter_way
from coordination.dates.forecasting import outlook_of
from coordination.dates.levelling_runs import (
    answer_again,
    ask_for_levelling,
    keep_bookings,
    run_levelling,
    solved,
    stop_levelling,
    unfinished,
)
from coordination.dates.models import Crew, Levelling, SiteAsks, Way
from coordination.dates.portfolio import portfolio_of
from coordination.dates.portfolio_format import as_json, from_json
from coordination.dates.portfolio_roads import days_on_the_road
from coordination.dates.refusals import CrewRefused, LevellingRefused
from coordination.record.models import Event
from coordination.scheduling.levelling.route_checker import route_faults
from coordination.siteprep.plan import Duration, Link
from tests.dates.many_sites import TODAY, coordinator, crew, more_site, told, two_sites
from tests.gates.sites import JOB, build
from tests.gates.sites import RAILS as RAIL_TASK
from tests.projects.small_plans import task
from tests.standing_cast import AT, NOBODYS, gather

pytestmark = pytest.mark.django_db
RAILS = "rails@hoistway"
QUERIES = 13


def events(site, verb):
    return Event.objects.filter(stream=f"supplier:{site.cast.supplier.uid}", verb=verb).count()


def test_a_crew_is_entered_altered_and_ended_each_once_however_often_it_is_pressed():
    site, uid = build(), uuid.uuid4()
    who = coordinator(site)
    for _press in (1, 2):
        row = enter_crew(who, AT, told(site, away=[date(2026, 4, 2)]), uid=uid)
    assert (row.uid, row.name, row.weekdays, row.away) == (uid, "Van one", [0, 1, 2, 3, 4], ["2026-04-02"])
    for _press in (1, 2):
        row = enter_crew(who, AT, told(site, people=3), uid=uid)
    assert (row.people, row.away, Crew.objects.count()) == (3, [], 1)
    for _press in (1, 2):
        assert end_crew(who, AT, uid).ended_at in (None, AT)
    assert [events(site, f"crew {verb}") for verb in ("entered", "altered", "ended")] == [1, 1, 1]


def test_everything_wrong_with_a_crew_is_named_at_once():
    site = build()
    with pytest.raises(CrewRefused) as refusal:
        enter_crew(
            coordinator(site),
            AT,
            told(site, " ", trade="roofing", people=0, weekdays=frozenset({9}), point=Point(91.0, 0.0)),
        )
    assert refusal.value.reasons == (
        Reason("place out of range"),
        Reason("crew without a name"),
        Reason("trade unknown", {"typed": "roofing"}),
        Reason("people out of range"),
        Reason("crew works no day"),
    )
    crew(site)
    with pytest.raises(CrewRefused, match="crew of that name"):
        crew(site)
    other = gather("other.")
    with pytest.raises(CrewRefused, match="company unknown"):
        enter_crew(coordinator(site), AT, replace(told(site, "x"), company=other.companies["supplier"].uid))
    assert Crew.objects.count() == 1


def test_only_the_coordinator_of_the_supplier_sends_crews():
    site, other = build(), gather("other.")
    for name in ("contractor", "crew", "electrician", "left"):
        with pytest.raises(NotVisible):
            coordinator_of(site.cast.people[name], site.cast.supplier.uid, AT)
    with pytest.raises(NotVisible):
        coordinator_of(other.people["coordinator"], site.cast.supplier.uid, AT)
    contractor = site.who("contractor")
    for act in (
        lambda: enter_crew(contractor, AT, told(site)),
        lambda: end_crew(contractor, AT, NOBODYS),
        lambda: ask_for_site(contractor, AT, site.project.uid, Asked()),
        lambda: enter_way(contractor, AT, NOBODYS, site.project.uid, 1),
        lambda: ask_for_levelling(contractor, AT, today=TODAY),
        lambda: stop_levelling(contractor, AT, NOBODYS),
    ):
        with pytest.raises(NotAllowed):
            act()
    own = crew(site)
    for act in (
        lambda: end_crew(other.visitor("coordinator"), AT, own.uid),
        lambda: ask_for_site(other.visitor("coordinator"), AT, site.project.uid, Asked()),
        lambda: enter_way(other.visitor("coordinator"), AT, site.project.uid, other.project.uid, 1),
    ):
        with pytest.raises(NotVisible):
            act()
    assert (SiteAsks.objects.count(), Way.objects.count()) == (0, 0)


def test_what_a_site_asks_and_the_way_are_kept_once():
    first, second = two_sites()
    who, asked = coordinator(first), Asked(3, date(2026, 6, 1), None, Point(44.0, -72.0))
    for _press in (1, 2):
        row = ask_for_site(who, AT, second.project.uid, asked)
    assert (row.weight, row.wanted_by, row.latitude) == (3, date(2026, 6, 1), 44.0)
    for days in (2, 2, None, None):
        enter_way(who, AT, second.project.uid, first.project.uid, days)
    assert (events(first, "site asks"), events(first, "way entered"), Way.objects.count()) == (1, 2, 0)
    for wrong in (Asked(0), Asked(10), Asked(point=Point(1.0, None))):
        with pytest.raises(CrewRefused):
            ask_for_site(who, AT, second.project.uid, wrong)
    with pytest.raises(CrewRefused, match="way to itself"):
        enter_way(who, AT, first.project.uid, first.project.uid, 1)
    with pytest.raises(CrewRefused, match="way out of range"):
        enter_way(who, AT, first.project.uid, second.project.uid, 31)


@pytest.mark.parametrize(
    ("one", "other", "days"),
    [
        ((44.26, -72.58), (44.48, -73.22), 0),  # 57 km in a straight line
        ((44.26, -72.58), (42.36, -71.06), 1),  # 245 km, 318 by road
        ((44.26, -72.58), (41.88, -87.63), 3),  # about 1 230 km, 1 600 by road
        ((44.26, None), (41.88, -87.63), 0),
    ],
)
def test_the_distance_says_the_days_on_the_road(one, other, days):
    assert days_on_the_road(one, other) == days == days_on_the_road(other, one)


def test_without_a_crew_or_work_for_it_there_is_nothing_to_level():
    site = build()
    with pytest.raises(LevellingRefused, match="no crew entered"):
        portfolio_of(site.cast.supplier, TODAY)
    enter_crew(
        coordinator(site),
        AT,
        replace(told(site), company=site.cast.companies["contractor"].uid, trade="general contractor"),
    )
    bare = gather("bare.")
    assert portfolio_of(site.cast.supplier, TODAY).sites[0].uid == str(site.project.uid)
    with pytest.raises(LevellingRefused, match="no crew entered"):
        portfolio_of(bare.supplier, TODAY)


def test_a_visit_waits_for_the_forecast_and_a_crew_is_on_one_site_at_a_time():
    long = replace(
        JOB, tasks=tuple(replace(t, duration=Duration(9, 10, 12)) if t.key == RAILS else t for t in JOB.tasks)
    )
    first = build(derived=long)
    second = more_site(first, "Mill Street", long)
    crew(first)
    found = portfolio_of(first.cast.supplier, TODAY)
    rails = [f"{site.project.uid}/{RAILS}" for site in (first, second)]
    assert sorted(found.problem.calls) == sorted(rails)
    for site, key in zip((first, second), rails, strict=True):
        outlook = outlook_of(site.project, TODAY)
        sure = outlook.of_visit("rails").at(0.8).last_day
        task = found.problem.network.tasks[found.problem.network.position[key]]
        assert task.not_before == outlook.first_crew_day(sure)
    answer = solved(
        found, 1, moves=30, wish_moves=dict.fromkeys(map(str, (first.project.uid, second.project.uid)), 10)
    )
    spans = sorted((answer["starts"][key], answer["last"][key]) for key in rails)
    assert spans[0][1] < spans[1][0]
    late = [(date.fromisoformat(answer["ends"][site.uid]) - site.due).days for site in found.sites]
    assert min(late) == 0 < max(late)
    loser = found.sites[late.index(max(late))].uid
    wished = answer["wishes"][loser]["ends"]
    assert wished[loser] < answer["ends"][loser]
    assert any(wished[site.uid] > answer["ends"][site.uid] for site in found.sites if site.uid != loser)
    assert solved(found, 1, moves=30, wish_moves={site.uid: 10 for site in found.sites}) == answer


def test_a_portfolio_is_read_back_as_it_was_frozen():
    first, _second = two_sites()
    crew(first, away=[TODAY + timedelta(days=9)])
    found = portfolio_of(first.cast.supplier, TODAY)
    again = from_json(as_json(found))
    assert (again.sites, again.crews, again.words) == (found.sites, found.crews, found.words)
    assert (again.problem.calls, again.problem.crews) == (found.problem.calls, found.problem.crews)
    assert again.problem.network.tasks == found.problem.network.tasks
    assert solved(again, 1, moves=5, wish_moves={s.uid: 2 for s in found.sites}) == solved(
        found, 1, moves=5, wish_moves={s.uid: 2 for s in found.sites}
    )


def test_a_booked_visit_stands_and_one_that_no_crew_can_keep_is_named():
    first, second = two_sites()
    crew(first)
    ready = portfolio_of(first.cast.supplier, TODAY)
    earliest = max(task.not_before for task in ready.problem.network.tasks if task.key in ready.problem.calls)
    day = earliest + timedelta(days=14 - earliest.weekday())
    for site in (first, second):
        book_visit(site.project, site.who("coordinator"), site.step(), key="rails", day=day, confirm_by=TODAY)
    found = portfolio_of(first.cast.supplier, TODAY)
    assert [list(site.booked.values()) for site in found.sites] == [[day], [day]]
    kept = keep_bookings(found)
    assert (len(kept.problem.fixed), len(kept.given_up), kept.faults) == (1, 1, ())
    answer = solved(found, 1, moves=10, wish_moves={s.uid: 2 for s in found.sites})
    (fixed,) = kept.problem.fixed
    assert answer["starts"][fixed] == day.isoformat()
    assert answer["given_up"] == list(kept.given_up)


def test_a_levelling_is_found_run_and_kept_and_made_again():
    first, _second = two_sites()
    crew(first)
    who = coordinator(first)
    row = ask_for_levelling(who, AT, seconds=1, today=TODAY)
    assert ask_for_levelling(who, AT, seconds=1, today=TODAY) == row
    assert (unfinished(AT), events(first, "levelling asked for")) == ([str(row.uid)], 1)
    run_levelling(str(row.uid))
    row.refresh_from_db()
    answer = json.loads(row.answer)
    found = from_json(row.input)
    starts = {key: date.fromisoformat(day) for key, day in answer["starts"].items()}
    assert set(starts) == set(found.problem.calls)
    assert row.ended_at is not None
    assert (unfinished(AT), row.iterations) == ([], answer["tried"])
    assert answer_again(row) == answer
    run_levelling(str(row.uid))
    assert Levelling.objects.get() == row


def test_the_solvers_days_are_kept_with_what_it_proved_and_taken_over_again():
    first, _second = two_sites()
    crew(first)
    found = from_json(as_json(portfolio_of(first.cast.supplier, TODAY)))
    quick = solved(found, 1, moves=0, wish_moves={site.uid: 1 for site in found.sites})
    answer = solved(found, 1, wish_moves={site.uid: 1 for site in found.sites}, solver_seconds=60)
    assert answer["solver"]["bound"] == answer["least"] == answer["late"] <= quick["late"]
    told = {"bound": answer["late"], "starts": answer["starts"], "crews": answer["crews"]}
    again = solved(found, 1, moves=0, wish_moves={site.uid: 1 for site in found.sites}, solver=told)
    assert [again[key] for key in ("starts", "crews", "ends", "late", "least")] == [
        answer[key] for key in ("starts", "crews", "ends", "late", "least")
    ]


def test_a_stopped_levelling_ends_soon_and_keeps_its_best():
    first, _second = two_sites()
    crew(first)
    who = coordinator(first)
    row = ask_for_levelling(who, AT, seconds=60, today=TODAY)
    for _press in (1, 2):
        assert stop_levelling(who, AT, row.uid).stop_asked_at == AT
    run_levelling(str(row.uid))
    row.refresh_from_db()
    assert row.ended_at is not None
    assert json.loads(row.answer)["crews"]
    assert events(first, "levelling stopped") == 1
    with pytest.raises(NotVisible):
        stop_levelling(who, AT, NOBODYS)
    with pytest.raises(LevellingRefused, match="seconds out of range"):
        ask_for_levelling(who, AT, seconds=61, today=TODAY)


def test_work_under_way_on_two_sites_with_one_crew_is_told_and_not_levelled_away():
    first, second = two_sites()
    for site in (first, second):
        site.task(RAILS)
        type(site.task(RAILS)).objects.filter(project=site.project, key=RAILS).update(
            begun_on=date(2026, 3, 3)
        )
    crew(first)
    found = portfolio_of(first.cast.supplier, TODAY)
    kept = keep_bookings(found)
    assert [fault[0] for fault in kept.faults] == ["crew cannot be there"]
    assert solved(found, 1)["faults"] == kept.faults
    crew(first, "Van two")
    both = portfolio_of(first.cast.supplier, TODAY)
    answer = solved(both, 1, moves=5, wish_moves={s.uid: 2 for s in both.sites})
    assert len({tuple(crews) for crews in answer["crews"].values()}) == 2


def test_a_joint_test_waits_for_a_day_of_both_companies():
    """The acceptance asks for the lift crew; where the electrician has a crew too, the pre-test asks for both."""

    pretest = task("joint-pretest@hoistway", "lift", 1, requirements=())
    job = replace(
        JOB, tasks=(*JOB.tasks, pretest), links=(*JOB.links, Link(RAIL_TASK.key, pretest.key, "FS"))
    )
    site = build(derived=job)
    crew(site, weekdays=frozenset({0, 1, 2, 3}))
    enter_crew(
        coordinator(site),
        AT,
        replace(
            told(site, "Sol"),
            company=site.cast.companies["electrician"].uid,
            trade="electrical",
            weekdays=frozenset({3, 4}),
        ),
    )
    found = portfolio_of(site.cast.supplier, TODAY)
    key = f"{site.project.uid}/{pretest.key}"
    assert len(found.problem.calls[key]) == 2
    answer = solved(found, 1, moves=5, wish_moves={str(site.project.uid): 2})
    assert date.fromisoformat(answer["starts"][key]).weekday() == 3
    assert len(answer["crews"][key]) == 2


def test_the_portfolio_costs_the_same_for_one_site_and_three(django_assert_num_queries):
    first = build()
    crew(first)
    portfolio_of(first.cast.supplier, TODAY)
    with django_assert_num_queries(QUERIES):
        portfolio_of(first.cast.supplier, TODAY)
    more_site(first, "Mill Street"), more_site(first, "Weir Lane")
    portfolio_of(first.cast.supplier, TODAY)
    with django_assert_num_queries(QUERIES):
        assert len(portfolio_of(first.cast.supplier, TODAY).sites) == 3


def test_every_route_that_is_kept_has_passed_the_checker(monkeypatch):
    first, _second = two_sites()
    crew(first)
    found = portfolio_of(first.cast.supplier, TODAY)
    answer = solved(found, 1, moves=20, wish_moves={s.uid: 2 for s in found.sites})
    starts = {key: date.fromisoformat(day) for key, day in answer["starts"].items()}
    crews = {key: tuple(names) for key, names in answer["crews"].items()}
    moved = {**starts, max(starts): min(starts.values())}
    whole = {t.key: starts.get(t.key, t.not_before) for t in found.problem.network.tasks}
    assert route_faults(found.problem, {**whole, **moved}, crews)
    monkeypatch.setattr(levelling_runs, "route_faults", lambda *given: ("refused",))
    monkeypatch.setattr(levelling_runs, "keep_bookings", lambda p: levelling_runs.Kept(p.problem, ()))
    with pytest.raises(AssertionError, match="checker refuses"):
        solved(found, 1, moves=2)
