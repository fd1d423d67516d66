"""Crews that travel: every answer passes the checker, and the checker finds every fault that is put in."""

import itertools
import random
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coordination.scheduling.calendars import EVERY_DAY, WorkCalendar
from coordination.scheduling.levelling.problem import Cost
from coordination.scheduling.levelling.route_checker import RouteFault, route_cost, route_faults
from coordination.scheduling.levelling.route_problem import RoadCrew, RouteProblem
from coordination.scheduling.levelling.route_search import level_routes, served_first
from coordination.scheduling.levelling.routes import RouteShop
from coordination.scheduling.network import Link, Network, NetworkError, Task

START = date(2026, 3, 2)  # a Monday
FIRST = date(2025, 10, 1)
CALENDARS = {
    "site": WorkCalendar(FIRST, 1200, closed=frozenset({date(2026, 3, 6)})),
    "every day": WorkCalendar(FIRST, 1200, EVERY_DAY),
    "four days": WorkCalendar(FIRST, 1200, frozenset({0, 1, 2, 3})),
    "inspector": WorkCalendar(FIRST, 1200, frozenset({1, 3})),
}


def day(number):
    return START + timedelta(days=number)


def jobs(*tasks, links=(), crews=("one",), travel=0, **more):
    """Each task is (key, days) on the site of its first letter, worked by one lift crew."""
    network = Network(
        tuple(Task(key, days, "site", due=START) for key, days in tasks),
        tuple(Link(*pair) for pair in links),
        CALENDARS,
        START,
    )
    keys = [key for key, _ in tasks]
    sites = {key: key[0] for key in keys}
    ways = {
        (a, b): travel
        for a, b in itertools.combinations(sorted({*sites.values(), "home"}), 2)
        if "home" not in (a, b)
    }
    return RouteProblem(
        network,
        more.pop("road", {name: RoadCrew("site", home="home") for name in crews}),
        more.pop("kinds", {"lift": tuple(crews)}),
        more.pop("calls", dict.fromkeys(keys, ("lift",))),
        sites,
        ways,
        weights=more.pop("weights", dict.fromkeys(keys, 1)),
        **more,
    )


@st.composite
def problems(draw):
    keys = [f"{site}{n}" for site in "ABC" for n in range(draw(st.integers(0, 3)))] or ["A0"]
    tasks = tuple(
        Task(
            key,
            draw(st.sampled_from([0, 1, 2, 4])),
            draw(st.sampled_from(["site", "every day"])),
            not_before=draw(st.sampled_from([None, day(3), day(9)])),
            due=day(draw(st.integers(0, 20))),
        )
        for key in keys
    )
    pairs = [(a, b) for n, b in enumerate(keys) for a in keys[:n] if a[0] == b[0]]
    links = tuple(
        Link(a, b, draw(st.sampled_from(["FS", "SS", "FF", "SF"])), draw(st.integers(0, 3)))
        for a, b in (draw(st.lists(st.sampled_from(pairs), max_size=4)) if pairs else [])
    )
    crews = {
        "one": RoadCrew("site", home="home"),
        "two": RoadCrew("four days", frozenset({day(8), day(9)}), "home"),
        "alarm": RoadCrew("site"),
    }
    return RouteProblem(
        Network(tasks, links, CALENDARS, START),
        crews,
        {"lift": ("one", "two"), "alarm": ("alarm",)},
        {key: draw(st.sampled_from([("lift",), ("lift", "alarm"), ()])) for key in keys},
        {key: key[0] for key in keys},
        {("A", "B"): draw(st.integers(0, 2)), ("B", "C"): 1, ("home", "A"): draw(st.integers(0, 1))},
        {key: draw(st.sampled_from([key, f"{key[0]} visit"])) for key in keys},
        {key: draw(st.integers(0, 3)) for key in keys},
        coming=draw(st.sampled_from([0, 2])),
    )


@settings(max_examples=120, deadline=None)
@given(problems(), st.integers(0, 99))
def test_any_order_and_any_liking_gives_a_route_without_fault(problem, seed):
    shop, chance = RouteShop(problem), random.Random(seed)
    wanted = {trip: chance.randrange(4) for trip in shop.trips if chance.random() < 0.5}
    at = shop.make(shop.in_order([chance.random() for _ in range(shop.count)]), wanted)
    route = shop.route(at, 1)
    assert route_faults(problem, route.starts, route.crews) == ()
    assert route_cost(problem, route.starts, route.crews) == route.cost
    assert route.cost.late >= route.least.late


@settings(max_examples=15, deadline=None)
@given(problems(), st.integers(0, 9))
def test_the_search_is_repeatable_and_never_worse_with_more_moves(problem, seed):
    few, again, more = (level_routes(problem, lambda: True, seed=seed, moves=moves) for moves in (15, 15, 80))
    assert few == again
    assert more.cost <= few.cost
    assert route_faults(problem, more.starts, more.crews) == ()


@settings(max_examples=12, deadline=None)
@given(problems())
def test_small_problems_come_out_as_good_as_every_order_tried(problem):
    if len(problem.network.tasks) > 5:
        return
    shop = RouteShop(problem)
    orders = itertools.permutations(range(shop.count))
    best = min(shop.cost(shop.make(shop.in_order(order), {})) for order in orders)
    assert level_routes(problem, lambda: True, moves=1200).cost <= best


def test_the_way_between_two_sites_takes_working_days_of_the_crew():
    route = level_routes(jobs(("A", 3), ("B", 2), travel=1), lambda: True, moves=30)
    assert route.starts == {"A": day(3), "B": day(0)}  # B ends Tuesday, Wednesday on the road, Friday closed
    assert route.last_days == {"A": day(8), "B": day(1)}
    both = level_routes(jobs(("A", 3), ("B", 2), crews=("one", "two"), travel=1), lambda: True, moves=30)
    assert both.starts == {"A": day(0), "B": day(0)}
    assert {both.crews["A"], both.crews["B"]} == {("one",), ("two",)}


def test_a_crew_starts_from_its_home():
    problem = replace(jobs(("A", 1)), travel={("home", "A"): 2})
    assert level_routes(problem, lambda: True, moves=5).starts == {"A": day(2)}


def test_a_joint_test_needs_a_day_that_all_of_them_work():
    road = {"one": RoadCrew("site"), "alarm": RoadCrew("inspector", frozenset({day(1)}))}
    problem = jobs(
        ("A", 1), road=road, calls={"A": ("lift", "alarm")}, kinds={"lift": ("one",), "alarm": ("alarm",)}
    )
    route = level_routes(problem, lambda: True, moves=5)
    assert route.starts == {"A": day(3)}
    assert route.crews == {"A": ("one", "alarm")}


def test_crews_without_a_common_day_are_named():
    weekend = {**CALENDARS, "weekend": WorkCalendar(FIRST, 1200, frozenset({5, 6}))}
    problem = jobs(("A", 1))
    problem = replace(
        problem, network=replace(problem.network, calendars=weekend), crews={"one": RoadCrew("weekend")}
    )
    with pytest.raises(NetworkError, match="no common working day: A > lift"):
        level_routes(problem, lambda: True)


def test_one_trip_is_made_by_one_crew():
    problem = jobs(
        ("A1", 2), ("A2", 2), ("B", 1), crews=("one", "two"), trips={"A1": "A visit", "A2": "A visit"}
    )
    route = level_routes(problem, lambda: True, moves=200)
    assert route.crews["A1"] == route.crews["A2"] != route.crews["B"]


def test_work_under_way_keeps_its_crew_where_it_is():
    problem = jobs(("A", 4), ("B", 1), travel=1)
    tasks = (replace(problem.network.tasks[0], started=day(-3), remaining=2), problem.network.tasks[1])
    network = replace(problem.network, tasks=tasks, data_date=START)
    problem = replace(problem, network=network, travel={("home", "A"): 3, ("A", "B"): 1})
    route = level_routes(problem, lambda: True, moves=20)
    assert route.starts == {"A": day(0), "B": day(3)}
    assert route_faults(problem, route.starts, route.crews) == ()


def test_more_work_under_way_than_crews_is_a_fault_and_costs_more_than_anything():
    problem = jobs(("A", 4), ("B", 4))
    tasks = tuple(replace(task, started=day(-3), remaining=2) for task in problem.network.tasks)
    problem = replace(problem, network=replace(problem.network, tasks=tasks, data_date=START))
    route = level_routes(problem, lambda: True, moves=5)
    assert route.cost.late >= 10**9
    assert {fault.kind for fault in route_faults(problem, route.starts, route.crews)} == {
        "crew cannot be there"
    }


def test_a_fixed_day_stands_and_its_wish_shows_what_it_costs_the_others():
    problem = jobs(("A", 3), ("B", 2), weights={"A": 1, "B": 5})
    assert level_routes(problem, lambda: True, moves=50).starts == {"A": day(2), "B": day(0)}
    first = level_routes(served_first(problem, "A"), lambda: True, moves=50)
    assert first.starts == {"A": day(0), "B": day(3)}
    on_a_day = served_first(problem, "A", {"A": day(1)})
    wished = level_routes(on_a_day, lambda: True, moves=50)
    assert wished.starts["A"] == day(1)
    assert route_faults(on_a_day, wished.starts, wished.crews) == ()


def test_nothing_is_searched_for_where_nobody_is_late_and_stopping_keeps_the_best():
    problem = jobs(("A", 3), ("B", 3), crews=("one", "two"))
    assert level_routes(problem, lambda: True).tried == 1
    calls = itertools.count()
    heard = []
    route = level_routes(
        jobs(*((f"{site}", 2) for site in "ABCDE"), travel=1),
        lambda: next(calls) < 7,
        tell=lambda route, tried: heard.append((tried, route)),
    )
    assert route.tried == 8
    assert [tried for tried, _ in heard] == [1, 2, 3, 4, 5, 6, 7, 8]
    assert min(better.cost for _, better in heard if better) == route.cost


ROUTED = jobs(("A1", 2), ("A2", 1), ("B", 2), crews=("one", "two"), travel=1, trips={"A1": "v", "A2": "v"})
GOOD = ({"A1": day(0), "A2": day(2), "B": day(0)}, {"A1": ("one",), "A2": ("one",), "B": ("two",)})


@pytest.mark.parametrize(
    ("starts", "crews", "wanted"),
    [
        ({}, {}, ()),
        ({}, {"B": ("one",)}, ("crew cannot be there",) * 1),
        ({}, {"A2": ("two",)}, ("another crew on the same trip",)),
        ({}, {"B": ("three",)}, ("wrong crews",)),
        ({}, {"B": ()}, ("wrong crews",)),
        ({"B": day(2)}, {"B": ("one",)}, ("crew cannot be there",)),
        ({"B": day(4)}, {}, ("not a working day",)),
        ({"A2": day(1)}, {}, ("crew cannot be there",)),
    ],
)
def test_the_checker_names_each_fault(starts, crews, wanted):
    found = route_faults(ROUTED, {**GOOD[0], **starts}, {**GOOD[1], **crews})
    assert {fault.kind for fault in found} == set(wanted)


def test_the_checker_sees_a_crew_that_is_away():
    problem = replace(ROUTED, crews={**ROUTED.crews, "two": RoadCrew("site", frozenset({day(1)}))})
    assert route_faults(problem, *GOOD) == (RouteFault("crew away", ("two", "B", "2026-03-03")),)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"calls": {"x": ("lift",)}}, "unknown task: x"),
        ({"kinds": {"lift": ("nobody",)}}, "unknown crew: lift > nobody"),
        ({"calls": {"A1": ("framing",)}}, "unknown crew: A1 > framing"),
        ({"travel": {("A", "B"): -1}}, "negative travel: A > B"),
        ({"crews": {"one": RoadCrew("moon"), "two": RoadCrew("site")}}, "unknown calendar: one > moon"),
    ],
)
def test_impossible_problems_are_refused_by_name(change, message):
    with pytest.raises(NetworkError) as refusal:
        replace(ROUTED, **change)
    assert str(refusal.value).startswith(message)


def test_the_bound_is_what_each_site_would_have_alone():
    route = level_routes(jobs(("A", 3), ("B", 2), travel=1), lambda: True, moves=30)
    assert (route.cost, route.least) == (Cost(9, 9), Cost(3, 3))


def test_coming_to_a_site_twice_has_its_price():
    """Two visits of two tasks: going to and fro finishes each second task sooner, staying needs fewer comings."""
    tasks = (("A1", 1), ("A2", 1), ("B1", 1), ("B2", 1))
    problem = jobs(*tasks, links=[("A1", "A2"), ("B1", "B2")], weights={"A1": 3, "A2": 1, "B1": 3, "B2": 1})
    free = level_routes(problem, lambda: True, moves=300)
    assert sorted(free.starts, key=free.starts.get)[:2] in (["A1", "B1"], ["B1", "A1"])
    priced = level_routes(replace(problem, coming=5), lambda: True, moves=300)
    assert "".join(key[0] for key in sorted(priced.starts, key=priced.starts.get)) in ("AABB", "BBAA")
    assert priced.cost == route_cost(replace(problem, coming=5), priced.starts, priced.crews)


def test_a_favoured_site_is_served_first_from_the_first_try_on():
    problem = jobs(("A", 3), ("B", 2), weights={"A": 1, "B": 5})
    base = level_routes(problem, lambda: True, moves=50)
    first = level_routes(served_first(problem, "A"), lambda: False, begin=base, favour="A")
    assert (first.starts, first.tried) == ({"A": day(0), "B": day(3)}, 2)
