"""Shapley shares against all orders, windows and games on small networks."""

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coordination.scheduling import delays
from coordination.scheduling.calendars import EVERY_DAY, WorkCalendar
from coordination.scheduling.critical_path import schedule
from coordination.scheduling.delays import (
    DelayEvent,
    DelayGame,
    Share,
    Window,
    shares,
    windows,
)
from coordination.scheduling.network import Link, Network, Task

START = date(2026, 3, 2)
CALENDARS = {
    "every day": WorkCalendar(date(2026, 1, 1), 500, EVERY_DAY),
    "site": WorkCalendar(date(2026, 1, 1), 500),
}


def day(number):
    return START + timedelta(days=number)


def net(durations, links=(), calendar="every day", **given_):
    tasks = tuple(Task(key, days, calendar) for key, days in durations.items())
    return Network(tasks, tuple(Link(*pair) for pair in links), CALENDARS, START, **given_)


games = st.integers(1, 5).flatmap(
    lambda count: st.tuples(
        st.just(count), st.lists(st.integers(-9, 9), min_size=2**count, max_size=2**count)
    )
)


def value_of(table):
    return lambda chosen: table[sum(1 << cause for cause in chosen)]


@given(games)
def test_shares_are_the_mean_over_all_orders(game):
    count, table = game
    value, orders = value_of(table), [*permutations(range(count))]
    wanted = {
        cause: Fraction(
            sum(
                value(frozenset(order[: order.index(cause) + 1]))
                - value(frozenset(order[: order.index(cause)]))
                for order in orders
            ),
            len(orders),
        )
        for cause in range(count)
    }
    found = shares(range(count), value)
    assert {share.cause: share.share for share in found} == wanted
    assert sum(share.share for share in found) == table[-1] - table[0]
    for share in found:
        own = 1 << share.cause
        assert (share.alone, share.last_in, share.within) == (
            table[own] - table[0],
            table[-1] - table[-1 - own],
            0,
        )


@given(games)
def test_sampled_orders_add_up_and_hold_the_exact_share(game):
    count, table = game
    exact = {share.cause: share.share for share in shares(range(count), value_of(table))}
    found = delays._sampled(range(count), value_of(table), 600, delays.random.Random(1))
    assert sum(mean for mean, _ in found.values()) == table[-1] - table[0]
    for cause, (mean, within) in found.items():
        assert abs(mean - exact[cause]) <= 2.6 * within + Fraction(1, 10**6)


def test_many_causes_are_sampled_with_an_interval():
    found = shares(range(20), lambda chosen: 3 * len(chosen) + (7 if {0, 1} <= chosen else 0), orders=500)
    assert sum(share.share for share in found) == 67
    assert abs(found[0].share - Fraction(13, 2)) <= 1.5 * found[0].within
    assert found[5] == Share(5, Fraction(3), 3, 3, 0.0)


def test_a_cause_listed_twice_is_refused():
    with pytest.raises(ValueError, match="twice"):
        shares("aa", len)


def test_concurrent_delays_share_what_either_alone_would_have_caused():
    """Two parallel tasks of 5 days, each 4 days longer: each answers for 2, alone each would be 4, but for either 0."""
    network = net({"a": 5, "b": 5, "c": 1}, ["ac", "bc"])
    events = (DelayEvent("e1", "supplier", "a", 4), DelayEvent("e2", "builder", "b", 4))
    assert DelayGame(network, events).by_event() == (
        Share(events[0], Fraction(2), 4, 0),
        Share(events[1], Fraction(2), 4, 0),
    )


def test_by_event_and_by_party_are_two_games():
    network = net({"a": 5, "b": 5, "c": 5})
    events = tuple(
        DelayEvent(f"e{key}", party, key, 3) for key, party in (("a", "one"), ("b", "one"), ("c", "two"))
    )
    game = DelayGame(network, events)
    assert [share.share for share in game.by_event()] == [1, 1, 1]
    assert {share.cause: share.share for share in game.by_party()} == {
        "one": Fraction(3, 2),
        "two": Fraction(3, 2),
    }


def test_holds_and_added_links_are_causes_too():
    network = net({"a": 5, "b": 5}, calendar="site")
    events = (
        DelayEvent("waits", "builder", "b", link=Link("a", "b")),
        DelayEvent("permit", "owner", "a", not_before=day(2)),
    )
    game = DelayGame(network, events)
    assert game.slip(frozenset(events)) == 11
    assert game.slip(frozenset(events[:1])) == 7
    assert game.slip(frozenset(events[1:])) == 4
    assert [share.share for share in game.by_event()] == [7, 4]
    held = replace(
        network,
        tasks=(replace(network.tasks[0], not_before=day(2)), network.tasks[1]),
        links=(Link("a", "b"),),
    )
    assert (schedule(held).end - schedule(network).end).days == 11


def test_an_event_must_say_something_and_touch_open_work():
    with pytest.raises(ValueError, match="longer, not_before or link"):
        DelayEvent("e", "one", "a")
    with pytest.raises(ValueError, match="no work to lengthen"):
        DelayGame(net({"gate": 0}), [DelayEvent("e", "one", "gate", 1)])
    with pytest.raises(KeyError):
        DelayGame(net({"a": 1}), [DelayEvent("e", "one", "b", 1)])


def updates():
    """a > b > c and d > c. In the first week a takes 2 days more; in the second d is added before b."""
    plan = net({"a": 5, "b": 5, "c": 2, "d": 6}, ["ab", "bc", "dc"])
    a, b, c, d = plan.tasks
    week_1 = replace(
        plan,
        data_date=day(7),
        tasks=(replace(a, started=day(0), finished=day(6)), b, c, replace(d, started=day(4), remaining=3)),
    )
    week_2 = replace(
        week_1,
        data_date=day(9),
        links=(*plan.links, Link("d", "b")),
        tasks=(week_1.tasks[0], b, c, replace(week_1.tasks[3], remaining=3)),
    )
    return plan, week_1, week_2


def test_each_window_tells_progress_and_logic_apart():
    assert windows(updates()) == (
        Window(day(0), day(7), progress=2, logic=0, critical_chain=("b", "c")),
        Window(day(7), day(9), progress=2, logic=3, critical_chain=("b", "c")),
    )
    assert [window.slip for window in windows(updates())] == [2, 5]


def test_updates_must_come_in_order():
    plan, week_1, _ = updates()
    with pytest.raises(ValueError, match="data date"):
        windows([week_1, plan])
