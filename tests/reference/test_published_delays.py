"""Published shares of a delay."""

from datetime import date, timedelta
from fractions import Fraction

from coordination.scheduling.calendars import EVERY_DAY, WorkCalendar
from coordination.scheduling.critical_path import schedule
from coordination.scheduling.delays import DelayEvent, DelayGame, shares
from coordination.scheduling.network import Link, Network, Task

DAY_0 = date(2026, 1, 1)
CALENDARS = {"units": WorkCalendar(DAY_0 - timedelta(days=10), 300, EVERY_DAY)}
PLAN = {"A1": 1, "A2": 1, "A3": 5, "A4": 1, "A5": 3, "A6": 2, "A7": 1}
ACTUAL = {"A1": 1, "A2": 2, "A3": 7, "A4": 1, "A5": 5, "A6": 3, "A7": 1}
PAIRS = [("A1", "A2"), ("A2", "A3"), ("A3", "A4"), ("A4", "A5"), ("A4", "A6"), ("A5", "A7"), ("A6", "A7")]
LINKS = tuple(Link(*pair) for pair in PAIRS)


def network(durations):
    return Network(
        tuple(Task(key, days, "units") for key, days in durations.items()), LINKS, CALENDARS, DAY_0
    )


def length(durations):
    return (schedule(network(durations)).end - DAY_0).days


def test_shares_of_a_delay():
    """Wang, Wang and Jin, Computers and Industrial Engineering 197 (2024) 110603, case 1.

    As worked in facebookresearch/shapcpm, docs/examples/wang2024_case1.ipynb.
    """
    assert (length(PLAN), length(ACTUAL)) == (12, 17)
    events = [DelayEvent(key, key, key, ACTUAL[key] - PLAN[key]) for key in PLAN if ACTUAL[key] != PLAN[key]]
    found = {share.cause.key: share.share for share in DelayGame(network(PLAN), events).by_event()}
    assert found == {"A2": 1, "A3": 2, "A5": 2, "A6": 0}


def test_shares_of_a_length():
    """Same source: shares of the whole actual length, each activity against not being there at all."""

    def value(present):
        return length({key: days if key in present else 0 for key, days in ACTUAL.items()})

    found = [share.share for share in shares([*ACTUAL], value)]
    assert found == [1, 2, 7, 1, Fraction(7, 2), Fraction(3, 2), 1]
