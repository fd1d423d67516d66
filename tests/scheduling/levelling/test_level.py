"""The whole search on problems small enough to know the answer."""

import itertools
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coordination.scheduling.calendars import EVERY_DAY, WorkCalendar
from coordination.scheduling.levelling import cp_sat
from coordination.scheduling.levelling.checker import cost_of, faults
from coordination.scheduling.levelling.evolution import evolve
from coordination.scheduling.levelling.generation import Shop
from coordination.scheduling.levelling.level import level
from coordination.scheduling.levelling.plain import PlainShop, is_plain
from coordination.scheduling.levelling.problem import Cost, Crew, CrewProblem
from coordination.scheduling.network import Link, Network, Task
from tests.scheduling.levelling.small_problems import CALENDARS, START, best_of_all, problems

PLAIN = {"days": WorkCalendar(START, 200, EVERY_DAY)}


@st.composite
def plain_problems(draw, largest=6):
    keys = [f"t{n}" for n in range(draw(st.integers(2, largest)))]
    tasks = tuple(Task(key, draw(st.integers(0, 5)), "days") for key in keys)
    pairs = [(a, b) for n, b in enumerate(keys) for a in keys[:n]]
    links = tuple(Link(*pair) for pair in draw(st.lists(st.sampled_from(pairs), max_size=6)))
    crews = {"one": Crew(3), "two": Crew(2)}
    needs = {key: {name: draw(st.integers(0, crew.count)) for name, crew in crews.items()} for key in keys}
    return CrewProblem(Network(tasks, links, PLAIN, START), crews, needs)


def forever():
    return True


@settings(max_examples=25, deadline=None)
@given(plain_problems())
def test_the_population_finds_the_shortest_of_all_schedules(problem):
    answer = level(problem, forever, moves=15)
    assert faults(problem, answer.starts) == ()
    assert cost_of(problem, answer.starts) == answer.cost == best_of_all(problem)
    assert answer.bound <= answer.cost.length


@settings(max_examples=25, deadline=None)
@given(plain_problems(largest=9), st.integers(0, 99))
def test_every_member_of_a_population_can_be_worked(problem, seed):
    shop = Shop(problem)
    plain = PlainShop(shop)
    if not plain.count:
        return
    heard = []
    evolve(
        plain, seed, forever, rounds=3, population=8, tell=lambda ends, length: heard.append((ends, length))
    )
    for ends, length in heard:
        starts = {}
        for i in shop.rows:
            job = plain.jobs.index(i) if i in plain.jobs else None
            after = max((starts_end(starts, shop, other) for other in shop.before[i]), default=0)
            starts[i] = after if job is None else ends[job] - int(plain.lengths[job])
        by_key = {shop.passes.tasks[i].key: START + timedelta(days=begin) for i, begin in starts.items()}
        assert faults(problem, by_key) == ()
        assert max(ends) == length


def starts_end(starts, shop, i):
    return starts[i] + shop.passes.lengths[i]


@settings(max_examples=15, deadline=None)
@given(problems())
def test_the_solver_agrees_with_every_order_tried(problem):
    """Calendars, all kinds of link, calendar lags, absences and weights."""
    links = tuple(replace(link, unit="calendar") for link in problem.network.links)
    problem = replace(problem, network=replace(problem.network, links=links))
    shop = Shop(problem)
    if shop.count > 5:
        return
    assert cp_sat.is_modelled(shop)
    hint = shop.generate(shop.in_order(shop.latest_starts()))
    solved = cp_sat.Solver(shop, hint, seed=1, workers=1).solve(20)
    assert solved.optimal
    best = best_of_all(problem)
    if shop.weighted:
        assert (solved.cost.late, solved.bound) == (best.late, best.late)
    else:
        assert (solved.cost, solved.bound) == (best, best.length)
    starts = {shop.passes.tasks[i].key: shop.passes.date(begin) for i, begin in solved.begins.items()}
    assert faults(problem, starts) == ()


def tower(jobs=12):
    """Pairs of tasks that fight for one crew: hard enough that one round does not settle it."""
    tasks = tuple(Task(f"t{n}", 2 + n % 5, "days") for n in range(jobs))
    links = tuple(Link(f"t{n}", f"t{n + 3}") for n in range(jobs - 3))
    needs = {f"t{n}": {"one": 1 + n % 3} for n in range(jobs)}
    return CrewProblem(Network(tasks, links, PLAIN, START), {"one": Crew(4)}, needs)


def test_a_seed_and_a_number_of_moves_repeat_the_answer_with_one_process_and_with_two():
    one = [level(tower(), forever, seed=5, moves=4) for _ in range(2)]
    two = [level(tower(), forever, seed=5, moves=4, workers=2) for _ in range(2)]
    assert one[0] == one[1]
    assert two[0] == two[1]
    assert two[0].cost <= one[0].cost
    assert two[0].tried > one[0].tried


def test_the_solver_beside_the_search_proves_what_both_found():
    answer = level(tower(), forever, workers=2, solver_seconds=30)
    assert answer.optimal
    assert answer.bound == answer.cost.length
    assert faults(tower(), answer.starts) == ()


@pytest.mark.parametrize("workers", [1, 2])
def test_it_stops_at_once_when_told_and_has_an_answer(workers):
    answer = level(tower(40), lambda: False, workers=workers)
    assert faults(tower(40), answer.starts) == ()


def test_what_is_better_is_never_lost_with_more_time():
    costs = [level(tower(30), forever, seed=2, moves=moves).cost for moves in (0, 2, 8)]
    assert costs == sorted(costs, reverse=True)


def test_due_dates_and_calendars_go_to_the_local_search():
    problem = tower()
    dated = tuple(replace(task, due=START) for task in problem.network.tasks)
    weighted = replace(problem, network=replace(problem.network, tasks=dated), weights={"t0": 1})
    site = tuple(replace(task, calendar="site") for task in problem.network.tasks)
    on_site = replace(problem, network=replace(problem.network, tasks=site, calendars=CALENDARS))
    assert [is_plain(Shop(each)) for each in (problem, weighted, on_site)] == [True, False, False]


def test_an_empty_problem_is_settled():
    answer = level(CrewProblem(Network((), (), PLAIN, START), {}, {}), forever, moves=3)
    assert (answer.starts, answer.cost, answer.optimal) == ({}, Cost(0, 0), True)


def test_a_portfolio_is_worked_without_fault_and_better_than_by_due_date():
    jobs, chain = range(4), ("frame", "wire", "board", "hang")
    tasks, links, needs, groups = [], [], {}, {}
    for job, (n, name) in itertools.product(jobs, enumerate(chain)):
        key = f"{name}@{job}"
        due = date(2026, 3, 13) + timedelta(days=3 * job) if name == "hang" else None
        tasks.append(Task(key, 2 + (job * n) % 3, "site", due=due))
        needs[key], groups[key] = {name: 1}, str(job)
        if n:
            links.append(Link(f"{chain[n - 1]}@{job}", key, "FS", n % 2, "calendar"))
    crews = {name: Crew(1) for name in chain}
    weights = {f"hang@{job}": 1 + job for job in jobs}
    problem = CrewProblem(
        Network(tuple(tasks), tuple(links), CALENDARS, START), crews, needs, weights, groups=groups
    )
    shop = Shop(problem)
    by_due_date = shop.cost(shop.generate(shop.in_order(shop.latest_starts())))
    answer = level(problem, forever, moves=400)
    assert faults(problem, answer.starts) == ()
    assert answer.cost < by_due_date
