"""What a network refuses, by name."""

from datetime import date

import pytest

from coordination.scheduling.calendars import OutOfHorizon, WorkCalendar
from coordination.scheduling.critical_path import schedule
from coordination.scheduling.network import Link, Network, NetworkError, Problem, Task

START = date(2026, 3, 2)
CALENDARS = {"site": WorkCalendar(date(2026, 1, 1), 365)}


def task(key="a", duration=2, calendar="site", **given):
    return Task(key, duration, calendar, **given)


def network(tasks, links=(), calendars=CALENDARS, **given):
    return Network(tuple(tasks), tuple(links), calendars, START, **given)


AB = [task("a"), task("b")]
TODAY = {"data_date": date(2026, 3, 10)}


@pytest.mark.parametrize(
    ("tasks", "links", "given_", "problems"),
    [
        ([task(), task()], [], {}, [Problem("key used twice", ("a",))]),
        ([task("")], [], {}, [Problem("empty key", ("",))]),
        ([task(duration=-1)], [], {}, [Problem("duration is no whole number of days", ("a",), "0 or more")]),
        ([task(duration=1.5)], [], {}, [Problem("duration is no whole number of days", ("a",), "0 or more")]),
        ([task(milestone=True)], [], {}, [Problem("milestone with a duration", ("a",), "0")]),
        ([task(calendar="lift")], [], {}, [Problem("unknown calendar", ("a",), "site")]),
        ([task(started=START)], [], {}, [Problem("progress without a data date", ("a",), "data_date")]),
        (
            [task(started=date(2026, 3, 11))],
            [],
            TODAY,
            [Problem("progress after the data date", ("a",), "2026-03-10 or before")],
        ),
        ([task(remaining=1)], [], TODAY, [Problem("remaining work of a task not begun", ("a",), "started")]),
        ([task(finished=START)], [], TODAY, [Problem("finished but not begun", ("a",), "started")]),
        (
            [task(started=date(2026, 3, 4), finished=date(2026, 3, 3))],
            [],
            TODAY,
            [Problem("finished before it began", ("a",))],
        ),
        (
            [task(started=START, finished=START, remaining=1)],
            [],
            TODAY,
            [Problem("finished with work remaining", ("a",), "0")],
        ),
        (AB, [Link("a", "c")], {}, [Problem("link to an unknown task", ("a", "c", "c"))]),
        (AB, [Link("a", "a")], {}, [Problem("link to itself", ("a", "a"))]),
        (
            AB,
            [Link("a", "b", "XY")],
            {},
            [Problem("unknown kind of link", ("a", "b", "XY"), "FS, SS, FF, SF")],
        ),
        (
            AB,
            [Link("a", "b", unit="hours")],
            {},
            [Problem("unknown unit of lag", ("a", "b", "hours"), "working or calendar")],
        ),
        (
            AB,
            [Link("a", "b", calendar="lift")],
            {},
            [Problem("unknown calendar", ("a", "b", "lift"), "site")],
        ),
        (AB, [Link("a", "b", lag=400)], {}, [Problem("lag longer than the calendars", ("a", "b"))]),
        (AB, [], {"order": "any"}, [Problem("unknown order", ("any",), "retained or override")]),
        (AB, [Link("a", "b", "SS"), Link("b", "a", "FF")], {}, [Problem("ring of links", ("a", "b", "a"))]),
    ],
)
def test_every_fault_is_named(tasks, links, given_, problems):
    with pytest.raises(NetworkError) as refusal:
        network(tasks, links, **given_)
    assert refusal.value.problems == tuple(problems)


def test_all_faults_are_told_at_once():
    with pytest.raises(NetworkError) as refusal:
        network([task("a", -1), task("b", calendar="lift")], [Link("a", "x")])
    assert [problem.kind for problem in refusal.value.problems] == [
        "duration is no whole number of days",
        "unknown calendar",
        "link to an unknown task",
    ]


def test_a_ring_is_named_without_what_hangs_on_it():
    tasks = [task(key) for key in ("before", "p", "q", "r", "behind")]
    links = [
        Link("before", "p"),
        Link("p", "q"),
        Link("q", "r", "SS"),
        Link("r", "p", "FF"),
        Link("r", "behind"),
    ]
    with pytest.raises(NetworkError) as refusal:
        network(tasks, links)
    assert refusal.value.problems == (Problem("ring of links", ("p", "q", "r", "p")),)


@pytest.mark.parametrize("name", ["not_before", "due"])
def test_dates_that_no_calendar_knows_are_refused_with_the_task(name):
    with pytest.raises(OutOfHorizon) as refusal:
        network([task(**{name: date(2031, 1, 1)})])
    assert refusal.value.subject == "a"


def test_work_that_runs_past_the_calendars_is_refused():
    with pytest.raises(OutOfHorizon):
        schedule(network([task(duration=300)]))


def test_late_dates_before_the_calendars_are_refused():
    with pytest.raises(OutOfHorizon):
        schedule(network([task("a", 60), task("b", 60, due=date(2026, 3, 3))], [Link("a", "b")]))


def test_calendars_over_different_days_are_used_where_all_know_the_day():
    calendars = {"site": WorkCalendar(date(2026, 1, 1), 365), "lift": WorkCalendar(date(2025, 6, 1), 400)}
    answer = schedule(network([task("a"), task("b", calendar="lift")], [Link("a", "b")], calendars))
    assert answer.end == date(2026, 3, 6)


def test_an_empty_network_ends_where_it_starts():
    answer = schedule(network([]))
    assert (answer.end, answer.critical_chain, answer.open_ends, dict(answer.tasks)) == (START, (), (), {})
