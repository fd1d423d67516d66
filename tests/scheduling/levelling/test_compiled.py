"""Compiled loops against the generation in plain Python, which is checked against the checker elsewhere."""

import random
import threading
from dataclasses import replace
from datetime import timedelta

import numpy
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coordination.scheduling.calendars import EVERY_DAY, OutOfHorizon, WorkCalendar
from coordination.scheduling.levelling import longer
from coordination.scheduling.levelling.annealing import anneal
from coordination.scheduling.levelling.checker import cost_of, faults
from coordination.scheduling.levelling.compiling import MadeReady
from coordination.scheduling.levelling.dated import DatedShop
from coordination.scheduling.levelling.generation import BROKEN, Shop
from coordination.scheduling.levelling.inner_loops import place_dated
from coordination.scheduling.levelling.plain import PlainShop
from coordination.scheduling.levelling.problem import Crew, CrewProblem
from coordination.scheduling.levelling.search import search
from coordination.scheduling.levelling.serial import Serial
from coordination.scheduling.network import Link, Network, Task
from tests.scheduling.levelling.small_problems import CALENDARS, START, best_of_all, problems


def forever():
    return True


def plain_problem(chance, count, kinds):
    """Random jobs, some without length; more kinds of crew than fit into one packed number when asked for."""
    tasks = tuple(Task(f"t{n}", chance.randint(0, 6), "days") for n in range(count))
    links = {(chance.randrange(n), n) for n in range(1, count) for _ in range(2)}
    crews = {f"crew {n}": Crew(chance.randint(1, 9)) for n in range(kinds)}
    needs = {
        task.key: {name: chance.randint(0, crew.count) for name, crew in crews.items()} for task in tasks
    }
    calendars = {"days": WorkCalendar(START, 400, EVERY_DAY)}
    network = Network(tasks, tuple(Link(f"t{a}", f"t{b}") for a, b in sorted(links)), calendars, START)
    return CrewProblem(network, crews, needs)


def turned(problem):
    """The same problem with all links the other way round."""
    links = tuple(Link(link.after, link.before) for link in problem.network.links)
    return replace(problem, network=replace(problem.network, links=links))


def turns(plain, chance, backward):
    """Keys that no job needs raised: its place in a random order that keeps to the links."""
    waits_for = plain.after if backward else plain.before
    keys, placed = [0] * plain.count, set()
    for turn in range(plain.count):
        ready = [job for job in range(plain.count) if job not in placed and placed.issuperset(waits_for[job])]
        keys[chosen := chance.choice(ready)] = turn
        placed.add(chosen)
    return keys


@pytest.mark.parametrize("kinds", [1, 3, 4, 5, 9])
@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("backward", [False, True])
def test_plain_schedules_are_those_of_the_generation_in_either_direction(seed, kinds, backward):
    chance = random.Random(f"{seed} {kinds}")
    problem = plain_problem(chance, 30, kinds)
    plain = PlainShop(Shop(problem))
    shop = Shop(turned(problem)) if backward else plain.shop
    ranks = [shop.passes.rank[plain.shop.passes.tasks[i].key] for i in plain.jobs]
    keys = numpy.array([turns(plain, chance, backward) for _ in range(5)], numpy.int64)
    serial = Serial(plain, backward=backward)
    members = serial.generate(keys)
    for key, ends, length, busy in zip(keys, members.ends, members.lengths, members.busy, strict=True):
        priority = [-1.0] * shop.count
        for i, number in zip(ranks, key.tolist(), strict=True):
            priority[i] = number
        at = shop.generate(shop.in_order(priority))
        assert ends.tolist() == [at[shop.count + i] for i in ranks]
        assert length == max(ends)
        assert busy.sum() == pytest.approx((plain.lengths * serial.load).sum())


def test_keys_are_raised_to_those_of_what_is_waited_for():
    problem = plain_problem(random.Random(3), 30, 2)
    shop = Shop(problem)
    plain, chance = PlainShop(shop), random.Random(4)
    drawn = [chance.randrange(9) for _ in range(plain.count)]
    priority = [-1.0] * shop.count
    for i, key in zip(plain.jobs, drawn, strict=True):
        priority[i] = key
    at = shop.generate(shop.in_order(priority))
    ends = Serial(plain, backward=False).generate(numpy.array([drawn], numpy.int64)).ends[0].tolist()
    assert ends == [at[shop.count + i] for i in plain.jobs]


@st.composite
def standing_problems(draw):
    """Problems in which some work is under way or finished and some days are fixed, whether or not that goes."""
    problem = draw(problems())
    today = START + timedelta(days=draw(st.integers(0, 9)))
    tasks, fixed = [], {}
    for task in problem.network.tasks:
        state = draw(st.sampled_from(["open", "open", "open", "begun", "done", "fixed"]))
        if state == "begun" and task.duration:
            tasks.append(replace(task, started=START, remaining=draw(st.integers(1, 4))))
        elif state == "done":
            tasks.append(replace(task, started=START, finished=START))
        else:
            tasks.append(task)
            if state == "fixed":
                calendar = problem.network.calendars[task.calendar]
                fixed[task.key] = calendar.roll_forward(today + timedelta(days=draw(st.integers(0, 20))))
    network = replace(problem.network, tasks=tuple(tasks), data_date=today)
    return replace(problem, network=network, fixed=fixed)


@settings(max_examples=200, deadline=None)
@given(st.one_of(problems(), standing_problems()), st.integers(0, 99))
def test_dated_schedules_and_their_costs_are_those_of_the_generation(problem, seed):
    shop, chance = Shop(problem), random.Random(seed)
    order = shop.in_order([chance.random() for _ in range(shop.count)])
    dated = DatedShop(shop)
    at, left = dated.at.copy(), dated.left.copy()
    late, broken, last = place_dated(numpy.array(order, numpy.int64), *dated.known, left, at)
    expected = shop.generate(order)
    cost = shop.cost(expected)
    assert at.tolist() == expected
    assert (late + BROKEN * broken, last - shop.zero) == cost
    if not broken:
        assert cost_of(problem, shop.starts(expected)) == cost


def test_a_date_past_the_horizon_is_told_and_not_reached_for():
    away = {START + timedelta(days=n): 1 for n in range(1100)}
    network = Network((Task("a", 2, "site"),), (), CALENDARS, START)
    dated = DatedShop(Shop(CrewProblem(network, {"lift": Crew(1, away)}, {"a": {"lift": 1}})))
    order = numpy.array([0], numpy.int64)
    assert place_dated(order, *dated.known, dated.left, dated.at)[0] == -1
    with pytest.raises(OutOfHorizon):
        anneal(dated.shop, 1, forever, 1)


@settings(max_examples=25, deadline=None)
@given(problems(), st.integers(0, 9))
def test_annealing_is_repeatable_never_worse_with_more_moves_and_workable(problem, seed):
    shop = Shop(problem)
    few, again, more = (anneal(shop, seed, forever, moves) for moves in (40, 40, 400))
    assert few == again
    assert more.cost <= few.cost <= search(shop, seed, forever, 0).cost
    assert faults(problem, shop.starts(more.at)) == ()
    assert cost_of(problem, shop.starts(more.at)) == more.cost


@settings(max_examples=15, deadline=None)
@given(problems())
def test_annealing_finds_the_best_of_all_orders(problem):
    if len(problem.network.tasks) <= 5:
        assert anneal(Shop(problem), 1, forever, 6000).cost == best_of_all(problem)


def test_annealing_tells_of_what_is_better_and_stops_when_told():
    tasks = tuple(Task(f"t{n}", 2, "site", due=START) for n in range(9))
    needs = {task.key: {"lift": 1} for task in tasks}
    weights = {task.key: n + 1 for n, task in enumerate(tasks)}
    shop = Shop(CrewProblem(Network(tasks, (), CALENDARS, START), {"lift": Crew(1)}, needs, weights))
    told = []
    found = anneal(shop, 1, lambda: not told, 5000, told.append)
    assert told == [found]
    assert found.cost < search(shop, 1, forever, 0).cost


def test_what_goes_wrong_while_code_is_made_ready_is_raised():
    with pytest.raises(ZeroDivisionError):
        MadeReady(lambda: 1 // 0).wait(1000, forever)


def test_nobody_waits_for_code_longer_than_there_is_time():
    go = threading.Event()
    ready = MadeReady(go.wait)
    assert not ready.wait(1000, lambda: False)
    assert not ready.wait(1, forever)
    go.set()
    assert ready.wait(1000, forever)


def test_while_code_is_made_ready_plain_python_searches(monkeypatch):
    monkeypatch.setattr(longer, "PATIENCE", 0)
    go = threading.Event()
    monkeypatch.setattr(longer, "_annealed", lambda *_: go.wait())
    tasks = tuple(Task(f"t{n}", 2, "site", due=START) for n in range(9))
    needs = {task.key: {"lift": 1} for task in tasks}
    weights = {task.key: n + 1 for n, task in enumerate(tasks)}
    problem = CrewProblem(Network(tasks, (), CALENDARS, START), {"lift": Crew(1)}, needs, weights)
    told = []
    found = longer.longer_search(problem, 1, None, lambda: not told, told.append)
    go.set()
    assert [heard.at for heard in told] == [found.at]
    assert Shop(problem).cost(found.at) < search(Shop(problem), 1, forever, 0).cost
