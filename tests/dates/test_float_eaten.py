"""Days of float eaten: against the plan kept last before something was owed, and never more than the days since."""

from datetime import date, timedelta
from types import SimpleNamespace

import pytest

from coordination.dates import float_eaten
from coordination.dates.float_eaten import Float, Floats
from coordination.scheduling.calendars import WorkCalendar

TODAY = date(2026, 3, 16)
SITE = WorkCalendar(start=date(2025, 1, 6), horizon_days=2000)


def dated(left: int | None) -> SimpleNamespace:
    network = SimpleNamespace(calendars={"site": SITE})
    tasks = {"board": SimpleNamespace(total_float=left)}
    return SimpleNamespace(tasks=tasks, schedule=SimpleNamespace(network=network))


@pytest.fixture
def kept(monkeypatch):
    """Two kept plans: ten days of float on 2 February, eight on 2 March."""
    rows = [SimpleNamespace(pk=n, taken_on=day, float=had) for n, day, had in (
        (1, date(2026, 2, 2), 10), (2, date(2026, 3, 2), 8),
    )]  # fmt: skip
    monkeypatch.setattr(float_eaten, "network_of_baseline", lambda row: row)
    monkeypatch.setattr(
        float_eaten, "schedule",
        lambda row: SimpleNamespace(tasks={"board": SimpleNamespace(total_float=row.float)}),
    )  # fmt: skip
    return rows


def floats(rows, left) -> Floats:
    found = Floats.__new__(Floats)
    found.dated, found.today, found._baselines, found._reckoned = dated(left), TODAY, rows, {}
    return found


@pytest.mark.parametrize(
    ("since", "left", "told"),
    [
        (date(2026, 3, 9), 5, Float(left=5, eaten=3, waited=5)),
        (date(2026, 3, 13), 5, Float(left=5, eaten=1, waited=1)),
        (date(2026, 2, 16), 5, Float(left=5, eaten=5, waited=20)),
        (date(2026, 1, 5), -4, Float(left=-4, eaten=14, waited=50)),
        (date(2026, 3, 9), 9, Float(left=9, eaten=0, waited=5)),
        (TODAY, 2, Float(left=2, eaten=0, waited=0)),
        (TODAY + timedelta(days=1), 2, Float(left=2, eaten=0, waited=0)),
        (None, 2, Float(left=2, eaten=None, waited=None)),
        (date(2026, 3, 9), None, Float(left=None, eaten=None, waited=5)),
    ],
)
def test_against_the_plan_that_was_kept_last_before(kept, since, left, told):
    assert floats(kept, left).of("board", since) == told


def test_without_a_kept_plan_only_the_days_are_told(kept):
    assert floats([], 5).of("board", date(2026, 3, 9)) == Float(left=5, eaten=None, waited=5)


def test_work_that_the_kept_plan_did_not_know_has_eaten_nothing_that_could_be_told(kept):
    assert floats(kept, 5).of("survey", date(2026, 3, 9)) == Float(left=None, eaten=None, waited=5)


def test_each_kept_plan_is_reckoned_once(kept, monkeypatch):
    found, reckoned = floats(kept, 5), []
    monkeypatch.setattr(
        float_eaten, "schedule", lambda row: reckoned.append(row.pk) or SimpleNamespace(tasks={})
    )
    for _again in range(3):
        found.of("board", date(2026, 3, 9))
    assert reckoned == [2]
