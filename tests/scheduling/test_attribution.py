"""What each task added of its own, found again from what happened, and shared among its causes."""

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coordination.scheduling.attribution import Cause, Part, account, parts_of
from coordination.scheduling.calendars import EVERY_DAY, WorkCalendar
from coordination.scheduling.critical_path import schedule
from coordination.scheduling.network import Link, Network, Task

START = date(2026, 3, 2)  # a Monday
CALENDARS = {
    "every day": WorkCalendar(date(2025, 1, 1), 1000, EVERY_DAY),
    "site": WorkCalendar(date(2025, 1, 1), 1000),
}


def day(number):
    return START + timedelta(days=number)


def net(durations, links=(), calendar="every day", **more):
    tasks = tuple(Task(key, days, calendar, milestone=not days) for key, days in durations.items())
    return Network(tasks, tuple(Link(*pair) for pair in links), CALENDARS, START, data_date=START, **more)


def happened(network, data_date, **progress):
    """The network later on: (first day, last day or None, days left) by task."""
    tasks = []
    for task in network.tasks:
        begun, done, left = (*progress.get(task.key, ()), None, None, None)[:3]
        tasks.append(
            replace(task, started=begun, finished=done, remaining=left if begun and not done else None)
        )
    return replace(network, tasks=tuple(tasks), data_date=data_date)


def each_by_itself(parts):
    return [Cause(f"{part.task} {part.kind}", part.task, (part,)) for part in parts]


def told(found):
    return {share.cause: share.share for share in found.causes}


def test_what_only_follows_is_no_part_of_its_own():
    earlier = net({"a": 3, "b": 2, "c": 1}, ["ab", "bc"])
    later = happened(earlier, day(10), a=(day(0), day(6)), b=(day(9), day(10)))
    parts = parts_of(earlier, later)
    assert parts == (Part("a", "longer", 4, day(0)), Part("b", "wait", 2, day(7)))
    found = account(earlier, later, each_by_itself(parts))
    assert told(found) == {"a longer": 4, "b wait": 2}
    assert (found.progress, found.logic, found.explained, found.left) == (6, 0, 6, 0)


def test_two_at_the_same_time_share_what_either_alone_would_have_caused():
    earlier = net({"a": 5, "b": 5, "c": 1}, ["ac", "bc"])
    later = happened(earlier, day(9), a=(day(0), day(8)), b=(day(0), day(8)))
    found = account(earlier, later, each_by_itself(parts_of(earlier, later)))
    assert told(found) == {"a longer": 2, "b longer": 2}
    assert [(share.alone, share.last_in) for share in found.causes] == [(4, 0), (4, 0)]


def test_by_party_is_a_game_of_its_own():
    earlier = net({"a": 5, "b": 5, "c": 5})
    later = happened(earlier, day(8), a=(day(0), day(7)), b=(day(0), day(7)), c=(day(0), day(7)))
    causes = [
        replace(c, party="one" if c.party in "ab" else "two")
        for c in each_by_itself(parts_of(earlier, later))
    ]
    found = account(earlier, later, causes)
    assert told(found) == {"a longer": 1, "b longer": 1, "c longer": 1}
    assert {s.cause: s.share for s in found.parties} == {"one": Fraction(3, 2), "two": Fraction(3, 2)}


def test_a_gate_that_is_cleared_late_holds_what_is_behind_it_and_nothing_else_is_counted():
    earlier = net({"a": 2, "gate": 0, "b": 3}, [("a", "gate"), ("gate", "b")], "site")
    late = happened(earlier, day(8), a=(day(0), day(1)), gate=(day(3), day(3)), b=(day(4), None, 2))
    assert parts_of(earlier, late) == (Part("gate", "wait", 2, day(2)), Part("b", "longer", 1, day(4)))
    at_once = happened(earlier, day(3), a=(day(0), day(1)), gate=(day(1), day(1)), b=(day(2), None, 2))
    assert parts_of(earlier, at_once) == ()


def test_work_that_has_not_begun_waits_until_now():
    earlier = net({"a": 2, "b": 3}, ["ab"], "site")
    later = happened(earlier, day(7), a=(day(0), day(1)))
    assert parts_of(earlier, later) == (Part("b", "wait", 3, day(2)),)
    found = account(earlier, later, each_by_itself(parts_of(earlier, later)))
    assert (found.progress, found.explained) == (5, 5)  # two working days and a weekend


def test_gains_are_shared_too():
    earlier = net({"a": 5, "b": 1}, ["ab"])
    later = happened(earlier, day(4), a=(day(0), day(2)))
    found = account(earlier, later, each_by_itself(parts_of(earlier, later)))
    assert told(found) == {"a longer": -2, "b wait": 1}
    assert (found.progress, found.left) == (-1, 0)


def test_a_change_of_plan_is_told_apart_from_progress():
    earlier = net({"a": 2, "b": 3}, ["ab"])
    later = happened(net({"a": 2, "b": 3, "x": 4}, ["ab", "ax", "xb"]), day(2), a=(day(0), day(1)))
    found = account(earlier, later, each_by_itself(parts_of(earlier, later)))
    assert (found.progress, found.logic, found.explained) == (0, 4, 0)


def test_one_cause_may_stand_behind_several_tasks_and_share_a_task_with_another():
    earlier = net({"a": 2, "b": 2, "c": 1}, ["ac", "bc"])
    later = happened(earlier, day(5), a=(day(0), day(4)), b=(day(0), day(3)))
    rain = Cause("rain", "", (Part("a", "longer", 2, day(0)), Part("b", "longer", 2, day(0))))
    own = Cause("a again", "one", (Part("a", "longer", 1, day(3)),))
    found = account(earlier, later, [rain, own])
    assert told(found) == {"rain": 2, "a again": 1}
    with pytest.raises(ValueError, match="twice"):
        account(earlier, later, [rain, rain])


def test_the_published_case_of_one_chain_comes_out_of_its_history():
    """Wang, Wang and Jin, Computers and Industrial Engineering 197 (2024) 110603, case 1: shares 1, 2, 2, 0."""
    plan = {"A1": 1, "A2": 1, "A3": 5, "A4": 1, "A5": 3, "A6": 2, "A7": 1}
    links = [("A1", "A2"), ("A2", "A3"), ("A3", "A4"), ("A4", "A5"), ("A4", "A6"), ("A5", "A7"), ("A6", "A7")]
    earlier = net(plan, links)
    took = {"A1": 1, "A2": 2, "A3": 7, "A4": 1, "A5": 5, "A6": 3, "A7": 1}
    dates = schedule(net(took, links)).tasks
    later = happened(earlier, day(17), **{k: (d.early_start, d.early_last_day) for k, d in dates.items()})
    parts = parts_of(earlier, later)
    assert {part.task: part.days for part in parts} == {"A2": 1, "A3": 2, "A5": 2, "A6": 1}
    found = account(earlier, later, each_by_itself(parts))
    assert told(found) == {"A2 longer": 1, "A3 longer": 2, "A5 longer": 2, "A6 longer": 0}
    assert (found.planned, found.expected, found.progress) == (day(11), day(16), 5)


@st.composite
def histories(draw):
    """A small network, and what happened: each task waited some days and took more or fewer than planned."""
    keys = "abcdef"[: draw(st.integers(1, 6))]
    durations = {key: draw(st.integers(1, 5)) for key in keys}
    links = [(a, b) for n, b in enumerate(keys) for a in keys[:n] if draw(st.booleans())]
    calendar = draw(st.sampled_from(["every day", "site"]))
    earlier = net(durations, links, calendar)
    waits = {key: draw(st.integers(0, 3)) for key in keys}
    took = {key: max(1, durations[key] + draw(st.integers(-2, 3))) for key in keys}
    begun, ends = {}, {}
    for key in keys:
        first = max([START, *(ends[a] + timedelta(days=1) for a, b in links if b == key)])
        begun[key] = CALENDARS[calendar].add(first, waits[key])
        ends[key] = CALENDARS[calendar].add(begun[key], took[key] - 1)
    later = happened(
        earlier, max(ends.values()) + timedelta(days=1), **{k: (begun[k], ends[k]) for k in keys}
    )
    return (
        earlier,
        later,
        {k: d for k, d in waits.items() if d},
        {k: took[k] - durations[k] for k in keys if took[k] != durations[k]},
    )


@settings(max_examples=60, deadline=None)
@given(histories())
def test_parts_are_found_again_and_the_shares_add_up_to_the_whole_slip(history):
    earlier, later, waits, longer = history
    parts = parts_of(earlier, later)
    assert {part.task: part.days for part in parts if part.kind == "wait"} == waits
    assert {part.task: part.days for part in parts if part.kind == "longer"} == longer
    found = account(earlier, later, each_by_itself(parts))
    assert found.left == 0
    assert sum(share.share for share in found.causes) == found.progress == found.explained
    assert sum(share.share for share in found.parties) == found.progress
