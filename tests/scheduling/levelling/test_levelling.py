"""Every answer passes the checker, and the checker finds every fault that is put in."""

import itertools
import random
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coordination.scheduling.calendars import OutOfHorizon
from coordination.scheduling.critical_path import schedule
from coordination.scheduling.levelling.checker import Fault, cost_of, faults
from coordination.scheduling.levelling.generation import Shop
from coordination.scheduling.levelling.problem import Cost, Crew, CrewProblem
from coordination.scheduling.levelling.search import search
from coordination.scheduling.levelling.sm_format import read_sm
from coordination.scheduling.network import Link, Network, NetworkError, Task
from tests.scheduling.levelling.small_problems import CALENDARS, SM, START, best_of_all, problems


@settings(max_examples=100, deadline=None)
@given(problems(), st.integers(0, 99))
def test_any_priority_gives_a_schedule_without_fault(problem, seed):
    shop, chance = Shop(problem), random.Random(seed)
    at = shop.generate(shop.in_order([chance.random() for _ in range(shop.count)]))
    starts = shop.starts(at)
    assert faults(problem, starts) == ()
    assert cost_of(problem, starts) == shop.cost(at)


@settings(max_examples=50, deadline=None)
@given(problems())
def test_with_crews_enough_it_is_the_early_schedule(problem):
    free = replace(problem, needs={})
    shop = Shop(free)
    starts = shop.starts(shop.generate(shop.in_order(shop.latest_starts())))
    assert starts == {key: dates.early_start for key, dates in schedule(problem.network).tasks.items()}


@settings(max_examples=15, deadline=None)
@given(problems(), st.integers(0, 9))
def test_the_search_is_repeatable_and_never_worse_with_more_moves(problem, seed):
    shop = Shop(problem)
    few, again, more = (search(shop, seed, lambda: True, moves) for moves in (10, 10, 60))
    assert few == again
    assert more.cost <= few.cost
    assert faults(problem, shop.starts(more.at)) == ()


def test_the_search_stops_when_told_and_keeps_its_best():
    problem = CrewProblem(
        Network(tuple(Task(f"t{n}", 2, "site", due=START) for n in range(6)), (), CALENDARS, START),
        {"lift": Crew(1)},
        {f"t{n}": {"lift": 1} for n in range(6)},
        {f"t{n}": n + 1 for n in range(6)},
    )
    calls = itertools.count()
    found = search(Shop(problem), 1, lambda: next(calls) < 5)
    assert found.tried == 6
    assert faults(problem, Shop(problem).starts(found.at)) == ()


@settings(max_examples=10, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 4), st.integers(0, 15), st.integers(1, 5)), min_size=2, max_size=5))
def test_small_problems_are_solved_to_the_end(rows):
    tasks = tuple(
        Task(f"t{n}", days, "every day", due=START + timedelta(days=due))
        for n, (days, due, _) in enumerate(rows)
    )
    problem = CrewProblem(
        Network(tasks, (), CALENDARS, START),
        {"lift": Crew(1)},
        {task.key: {"lift": 1} for task in tasks},
        {f"t{n}": weight for n, (_, _, weight) in enumerate(rows)},
    )
    assert search(Shop(problem), 1, lambda: True, 2000).cost == best_of_all(problem)


@settings(max_examples=15, deadline=None)
@given(problems())
def test_priorities_far_apart_do_not_hide_the_best_order(problem):
    if len(problem.network.tasks) <= 5:
        assert search(Shop(problem), 1, lambda: True, 6000).cost == best_of_all(problem)


def two_tasks(**given_):
    network = Network(
        (Task("a", 2, "site"), Task("b", 2, "site")), (Link("a", "b", "SS", 1),), CALENDARS, START, **given_
    )
    return CrewProblem(
        network, {"lift": Crew(1, {date(2026, 3, 12): 1})}, {"a": {"lift": 1}, "b": {"lift": 1}}
    )


@pytest.mark.parametrize(
    ("a", "b", "found"),
    [
        (2, 4, []),
        (2, 3, [Fault("too few crews", ("lift", "2026-03-03"))]),
        (2, 6, [Fault("not a working day", ("b", "2026-03-06"))]),
        (2, 11, [Fault("too few crews", ("lift", "2026-03-12"))]),
        (9, 2, [Fault("link", ("a", "b"))]),
        (1, 4, [Fault("not a working day", ("a", "2026-03-01")), Fault("too early", ("a", "2026-03-01"))]),
    ],
)
def test_the_checker_names_each_fault(a, b, found):
    starts = {key: date(2026, 2, 28) + timedelta(days=day) for key, day in (("a", a), ("b", b))}
    assert faults(two_tasks(), starts) == tuple(found)


def test_the_checker_wants_every_task_and_no_other():
    assert faults(two_tasks(), {"a": START, "x": START}) == (
        Fault("unknown task", ("x",)),
        Fault("no start", ("b",)),
    )


def test_what_stands_is_not_moved():
    problem = replace(two_tasks(), fixed={"b": date(2026, 3, 10)})
    shop = Shop(problem)
    starts = shop.starts(search(shop, 1, lambda: True, 50).at)
    assert starts == {"a": date(2026, 3, 2), "b": date(2026, 3, 10)}
    assert faults(problem, {**starts, "b": date(2026, 3, 9)}) == (Fault("moved", ("b", "2026-03-09")),)


def test_work_under_way_stands_and_keeps_its_crew():
    problem = two_tasks(data_date=date(2026, 3, 4))
    tasks = (
        replace(problem.network.tasks[0], started=date(2026, 3, 3), remaining=3),
        problem.network.tasks[1],
    )
    problem = replace(problem, network=replace(problem.network, tasks=tasks))
    shop = Shop(problem)
    starts = shop.starts(shop.generate(shop.in_order([1.0, 0.0])))
    assert starts == {"a": date(2026, 3, 4), "b": date(2026, 3, 10)}
    assert faults(problem, starts) == ()


def test_a_crew_that_never_comes_back_is_told_as_a_date_out_of_reach():
    away = {START + timedelta(days=n): 1 for n in range(1100)}
    problem = replace(two_tasks(), crews={"lift": Crew(1, away)})
    with pytest.raises(OutOfHorizon):
        search(Shop(problem), 1, lambda: True, 1)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"needs": {"x": {"lift": 1}}}, "unknown task: x"),
        ({"needs": {"a": {"framing": 1}}}, "unknown crew: a > framing (wanted: lift)"),
        ({"needs": {"a": {"lift": 2}}}, "needs more crews than there are: a > lift (wanted: at most 1)"),
        ({"weights": {"a": -1}}, "negative weight: a (wanted: 0 or more)"),
        ({"crews": {"lift": Crew(1, {START: 2})}}, "crew count out of range: lift"),
    ],
)
def test_impossible_problems_are_refused_by_name(change, message):
    with pytest.raises(NetworkError) as refusal:
        replace(two_tasks(), **change)
    assert str(refusal.value).startswith(message)


def test_an_sm_file_is_read_job_by_job():
    problem = read_sm(SM)
    assert [(task.key, task.duration) for task in problem.network.tasks] == [
        ("1", 0),
        ("2", 3),
        ("3", 4),
        ("4", 0),
    ]
    assert problem.network.links == (Link("1", "2"), Link("1", "3"), Link("2", "4"), Link("3", "4"))
    assert problem.crews == {"R1": Crew(3), "R2": Crew(1)}
    assert problem.needs == {"1": {}, "2": {"R1": 2}, "3": {"R1": 2, "R2": 1}, "4": {}}
    assert search(Shop(problem), 1, lambda: True, 20).cost == Cost(0, 7)


@pytest.mark.parametrize(
    "text",
    [
        SM.replace("\n", "\r\n"),
        "\ufeff" + SM + "\x1a",
        "\n".join(f"  {' '.join(line.split())}  " for line in SM.splitlines()),
        SM.replace("\n", "\n\n"),
        SM.replace(" ", "\t").replace("PRECEDENCE\tRELATIONS", "PRECEDENCE RELATIONS"),
        SM.rstrip("*\n"),
    ],
    ids=["Windows line ends", "marks at both ends", "other spacing", "blank lines", "tabs", "no last line"],
)
def test_an_sm_file_is_read_whatever_its_spacing(text):
    assert read_sm(text) == read_sm(SM)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "not a readable .sm file:  (wanted: no section PRECEDENCE RELATIONS"),
        (SM.replace("R 1  R 2\n---", "R 1  N 1\n---"), "not a readable .sm file:  (wanted: only renewable"),
        (SM.replace("2   3\n", "2\n"), "not a readable .sm file:  (wanted: job 1 does not name as many"),
        (
            SM.replace("  3      1     4       2    1\n", ""),
            "not a readable .sm file:  (wanted: job 3 is not in both",
        ),
        (
            SM.replace("  3      1     4  ", "  2      1     4  "),
            "not a readable .sm file:  (wanted: a job is there twice",
        ),
        (
            SM.replace("1     4       2", "1    -4       2"),
            "not a readable .sm file:  (wanted: durations of 0 or more",
        ),
        (
            SM.replace("1     4       2", "1     4e9     2"),
            "not a readable .sm file:  (wanted: invalid literal",
        ),
        (
            SM.replace("1     4       2", "1 400000      2"),
            "not a readable .sm file:  (wanted: durations of 0 or more",
        ),
        (
            SM.replace("1           4\n   4", "1           4\n   4").replace(
                "  4        1          0", "  4        1    1  2"
            ),
            "ring",
        ),
        (
            SM.replace("RESOURCEAVAILABILITIES", "X"),
            "not a readable .sm file:  (wanted: no section RESOURCEAVAILABILITIES",
        ),
        (SM.replace("   3        1  ", "   3        2  "), "several modes"),
        (SM.replace("  2      1     3       2    0", "  2      1     3       2"), "not a readable .sm file"),
        (SM.replace("           4\n", "           9\n"), "link to an unknown task"),
        (SM.replace("    3    1\n", "    1    1\n"), "needs more crews than there are: 2 > R1"),
    ],
)
def test_what_is_no_sm_file_is_refused(text, message):
    with pytest.raises(NetworkError) as refusal:
        read_sm(text)
    assert str(refusal.value).startswith(message)
