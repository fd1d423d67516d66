"""The two passes against dates found by trying day after day."""

from dataclasses import replace
from datetime import date, timedelta

import networkx
from hypothesis import given, settings
from hypothesis import strategies as st

from coordination.scheduling.calendars import EVERY_DAY, WorkCalendar
from coordination.scheduling.critical_path import OpenEnd, schedule
from coordination.scheduling.network import Link, Network, Task
from tests.scheduling.by_hand import ByHand
from tests.scheduling.networks import CALENDARS, START, networks

CAREFUL = settings(max_examples=60, deadline=None)


def first_open_days(schedule_):
    return {
        key: dates.resumes or dates.early_start
        for key, dates in schedule_.tasks.items()
        if dates.total_float is not None
    }


@CAREFUL
@given(networks())
def test_early_dates_are_the_first_that_keep_every_link(network):
    by_hand, answer = ByHand(network), schedule(network)
    assert (first_open_days(answer), answer.end) == (by_hand.first, by_hand.end)


@CAREFUL
@given(networks(due=True))
def test_late_dates_are_the_last_that_keep_every_link_and_due_date(network):
    by_hand, answer = ByHand(network), schedule(network)
    late = by_hand.late()
    assert {key: dates.late_start for key, dates in answer.tasks.items()} == late
    assert {key: dates.total_float for key, dates in answer.tasks.items()} == {
        key: by_hand.count(key, by_hand.first[key], late[key]) for key in late
    }


@CAREFUL
@given(networks(due=True, progress=True))
def test_progress_keeps_every_convention(network):
    by_hand, answer = ByHand(network), schedule(network)
    assert (first_open_days(answer), answer.end) == (by_hand.first, by_hand.end)
    late = by_hand.late()
    floats = {key: by_hand.count(key, by_hand.first[key], late[key]) for key in late}
    assert {key: dates.total_float for key, dates in answer.tasks.items() if key in late} == floats


@CAREFUL
@given(networks(progress=True))
def test_floats_are_what_a_task_can_slip(network):
    """Push one task by its float and by one working day more; see what moves."""
    before, answer = ByHand(network), schedule(network)
    for key, dates in answer.tasks.items():
        if dates.total_float is None:
            continue
        assert dates.total_float == largest_slip(network, before, key, lambda moved: moved.end == before.end)
        assert dates.free_float == largest_slip(
            network, before, key, lambda moved, key=key: stays(before, moved, key)
        )


def stays(before, moved, key):
    others = {k: v for k, v in before.first.items() if k != key}
    return moved.end == before.end and others == {k: v for k, v in moved.first.items() if k != key}


def largest_slip(network, before, key, unchanged):
    calendar, slip, day = before.calendar(key), 0, before.first[key]
    while True:
        day = calendar.add(day, 1)
        if not unchanged(ByHand(network, {key: day})):
            return slip
        slip += 1


@CAREFUL
@given(networks(due=True, progress=True))
def test_total_float_is_never_less_than_free_float_without_due_dates(network):
    answer = schedule(replace(network, tasks=tuple(replace(task, due=None) for task in network.tasks)))
    assert [
        key for key, d in answer.tasks.items() if d.total_float is not None and d.total_float < d.free_float
    ] == []


@CAREFUL
@given(networks(due=True, progress=True), st.randoms(use_true_random=False))
def test_the_order_of_the_input_changes_nothing(network, random):
    tasks, links = list(network.tasks), list(network.links)
    random.shuffle(tasks)
    random.shuffle(links)
    again = schedule(replace(network, tasks=tuple(tasks), links=tuple(links)))
    dates = [
        (d.early_start, d.late_start, d.total_float, d.free_float)
        for d in map(again.tasks.get, sorted(again.tasks))
    ]
    answer = schedule(network)
    assert dates == [
        (d.early_start, d.late_start, d.total_float, d.free_float)
        for d in map(answer.tasks.get, sorted(answer.tasks))
    ]


@CAREFUL
@given(networks(due=True))
def test_every_driver_binds_and_the_chain_is_made_of_drivers(network):
    by_hand, answer = ByHand(network), schedule(network)
    for key, dates in answer.tasks.items():
        if dates.driver:
            assert dates.because == "link"
            without = replace(network, links=tuple(x for x in network.links if x is not dates.driver))
            day = by_hand.calendar(key).add(by_hand.first[key], -1)
            assert not by_hand.holds(dates.driver, by_hand.first[dates.driver.before], day)
            assert schedule(without).tasks[key].early_start <= dates.early_start
    chain = answer.critical_chain
    assert [answer.tasks[key].driver.before for key in chain[1:]] == list(chain[:-1])
    assert answer.tasks[chain[0]].driver is None
    assert set(chain) <= {key for key, dates in answer.tasks.items() if dates.critical}


@CAREFUL
@given(networks(due=True))
def test_the_due_date_named_is_the_one_that_sets_the_late_date(network):
    answer = schedule(network)
    for key, dates in answer.tasks.items():
        if dates.due_of is None:
            free = ByHand(network).late(heed_due=False)
            assert dates.late_start == free[key]
        else:
            kept = tuple(t if t.key == dates.due_of else replace(t, due=None) for t in network.tasks)
            assert schedule(replace(network, tasks=kept)).tasks[key].late_start == dates.late_start


@st.composite
def plain_networks(draw):
    count = draw(st.integers(1, 25))
    lengths = draw(st.lists(st.integers(1, 9), min_size=count, max_size=count))
    pairs = st.tuples(st.integers(0, count - 1), st.integers(0, count - 1)).filter(
        lambda pair: pair[0] < pair[1]
    )
    return lengths, draw(st.lists(pairs, max_size=60)) if count > 1 else []


@CAREFUL
@given(plain_networks())
def test_plain_networks_end_with_the_longest_path_of_networkx(plain):
    lengths, pairs = plain
    graph = networkx.DiGraph()
    graph.add_nodes_from(range(len(lengths)))
    graph.add_edges_from((a, b, {"weight": lengths[a]}) for a, b in pairs)
    graph.add_edges_from((n, "end", {"weight": length}) for n, length in enumerate(lengths))
    calendars = {"c": WorkCalendar(START, 400, EVERY_DAY)}
    tasks = tuple(Task(str(n), length, "c") for n, length in enumerate(lengths))
    answer = schedule(Network(tasks, tuple(Link(str(a), str(b)) for a, b in pairs), calendars, START))
    assert (answer.end - START).days == networkx.dag_longest_path_length(graph)
    assert sum(lengths[int(key)] for key in answer.critical_chain) == networkx.dag_longest_path_length(graph)


def small(tasks, links=(), **given):
    return schedule(Network(tuple(tasks), tuple(links), CALENDARS, START, **given))


def test_a_friday_evening_does_not_satisfy_a_predecessor_that_works_through_saturday():
    answer = small(
        [Task("a", 6, "every day"), Task("b", 1, "site")],
        [Link("a", "b", "FF")],
    )
    assert answer.tasks["a"].early_last_day == date(2026, 3, 7)  # Saturday
    assert answer.tasks["b"].early_last_day == date(2026, 3, 10)  # Friday and Monday are holidays


def test_curing_runs_over_the_weekend_and_then_rolls_to_a_working_day():
    tasks = [Task("pour", 3, "site"), Task("strip", 1, "site")]
    calendar = small(tasks, [Link("pour", "strip", "FS", 3, "calendar")])
    working = small(tasks, [Link("pour", "strip", "FS", 3, "working")])
    assert calendar.tasks["strip"].early_start == date(2026, 3, 10)
    assert working.tasks["strip"].early_start == date(2026, 3, 12)


def test_a_milestone_opens_on_a_working_morning_and_counts_as_reached_the_evening_before():
    tasks = [
        Task("a", 4, "site"),
        Task("gate", 0, "site", milestone=True, due=date(2026, 3, 5)),
        Task("b", 1, "every day"),
    ]
    answer = small(tasks, [Link("a", "gate"), Link("gate", "b")])
    gate = answer.tasks["gate"]
    assert (gate.early_start, gate.early_last_day, gate.early_boundary) == (
        date(2026, 3, 10),
        date(2026, 3, 5),
        date(2026, 3, 6),
    )
    assert (gate.total_float, answer.tasks["b"].early_start) == (0, date(2026, 3, 10))


def test_a_gate_at_the_end_does_not_move_the_end():
    tasks = [Task("a", 4, "site"), Task("gate", 0, "site", milestone=True)]
    answer = small(tasks, [Link("a", "gate")])
    assert (answer.last_day, answer.critical_chain, answer.tasks["a"].total_float) == (
        date(2026, 3, 5),
        ("a", "gate"),
        0,
    )


def test_a_missed_due_date_gives_negative_float_up_to_where_it_bites_and_is_named():
    tasks = [
        Task("a", 5, "every day"),
        Task("b", 5, "every day", due=START + timedelta(days=7)),
        Task("c", 5, "every day"),
        Task("d", 1, "every day"),
    ]
    answer = small(tasks, [Link("a", "b"), Link("b", "c"), Link("d", "c")])
    assert {key: (d.total_float, d.due_of) for key, d in answer.tasks.items()} == {
        "a": (-2, "b"),
        "b": (-2, "b"),
        "c": (0, None),
        "d": (9, None),
    }


def test_longer_work_can_shorten_the_project():
    """Work is not torn apart: with its finish bound, a longer b begins earlier, and c with it."""
    ends = []
    for length in 3, 4, 5:
        tasks = [Task("a", 10, "every day"), Task("b", length, "every day"), Task("c", 8, "every day")]
        answer = small(tasks, [Link("a", "b", "FF"), Link("b", "c", "SS")])
        ends.append((answer.end - START).days)
    assert ends == [15, 14, 13]


def test_open_ends_are_told_for_each_end():
    tasks = [Task(key, 2, "site") for key in "abcd"]
    answer = small(tasks, [Link("a", "b"), Link("b", "d"), Link("a", "c", "SS")])
    assert answer.open_ends == (OpenEnd("c", "finish"),)


def test_all_at_once_equals_one_by_one_and_keys_are_kept():
    answer = small([Task("b", 1, "site"), Task("a", 1, "site")])
    assert list(answer.tasks) == ["b", "a"]
    assert "x" not in answer.tasks


def test_finished_work_is_fixed_and_has_no_float():
    tasks = [
        Task("a", 3, "site", started=date(2026, 3, 2), finished=date(2026, 3, 5)),
        Task("b", 4, "site"),
    ]
    answer = small(tasks, [Link("a", "b")], data_date=date(2026, 3, 10))
    a, b = answer.tasks["a"], answer.tasks["b"]
    assert (a.early_start, a.early_last_day, a.total_float, a.free_float, a.critical) == (
        date(2026, 3, 2),
        date(2026, 3, 5),
        None,
        None,
        False,
    )
    assert (b.early_start, b.because, answer.critical_chain) == (date(2026, 3, 10), "data date", ("b",))


def test_begun_work_that_does_not_say_what_remains_keeps_its_duration_less_what_has_passed():
    answer = small([Task("a", 5, "site", started=date(2026, 3, 2))], data_date=date(2026, 3, 4))
    a = answer.tasks["a"]
    assert (a.early_start, a.resumes, a.early_last_day, a.because) == (
        date(2026, 3, 2),
        date(2026, 3, 4),
        date(2026, 3, 10),
        "begun",
    )


def test_work_begun_out_of_order_is_listed():
    tasks = [Task("a", 2, "site"), Task("b", 2, "site", started=date(2026, 3, 3), remaining=1)]
    link = Link("a", "b")
    retained = small(tasks, [link], data_date=date(2026, 3, 4))
    override = small(tasks, [link], data_date=date(2026, 3, 4), order="override")
    assert (retained.out_of_order, override.out_of_order) == ((link,), (link,))
    assert retained.tasks["b"].resumes == date(2026, 3, 10)
    assert override.tasks["b"].resumes == date(2026, 3, 4)
