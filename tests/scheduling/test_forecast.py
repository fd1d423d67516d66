"""Forecasts against exact enumeration, closed forms and the schedule itself."""

import math
from datetime import date, timedelta
from itertools import pairwise, product

import numpy
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from coordination.scheduling.calendars import EVERY_DAY, WorkCalendar
from coordination.scheduling.critical_path import schedule
from coordination.scheduling.estimates import Curve, Draws, Estimate, EstimateError
from coordination.scheduling.forecast import Settings, _ranks, forecast
from coordination.scheduling.network import Link, Network, Task
from tests.scheduling.networks import CALENDARS, START, networks

UNITS = {"units": WorkCalendar(START - timedelta(days=10), 900, EVERY_DAY)}


def plain(durations, links, start=START):
    tasks = tuple(Task(key, days, "units") for key, days in durations.items())
    return Network(tasks, tuple(Link(*pair) for pair in links), UNITS, start)


@settings(max_examples=60, deadline=None)
@given(networks(due=True, progress=True))
def test_without_spread_every_sample_is_the_schedule(network):
    estimates = {task.key: Estimate(task.duration, task.duration, task.duration) for task in network.tasks}
    answer = forecast(network, estimates, settings=Settings(samples=3))
    dates = schedule(network)
    assert set(answer.boundaries()) == {dates.end}
    for task in network.tasks:
        if task.duration and task.remaining != 0:
            assert set(answer.boundaries(task.key)) == {dates.tasks[task.key].early_boundary}
    if dates.critical_chain:
        assert {answer.driving[""][key] for key in dates.critical_chain} == {1.0}


@settings(max_examples=25, deadline=None)
@given(networks(progress=True, largest=5), st.integers(0, 99))
def test_every_sample_is_the_schedule_of_its_own_durations(network, seed):
    estimates = {
        task.key: Estimate(1, 2 + task.duration, 9)
        for task in network.tasks
        if task.duration and not task.started
    }
    answer = forecast(network, estimates, settings=Settings(samples=4, seed=seed))
    draws = Draws(seed, 4, 0.3)
    drawn = {key: draws.days(key, estimate, Curve()) for key, estimate in estimates.items()}
    for sample in range(4):
        tasks = []
        for task in network.tasks:
            days = int(drawn[task.key][sample]) if task.key in drawn else task.duration
            tasks.append(Task(**{**vars(task), "duration": days}))
        wanted = schedule(
            Network(tuple(tasks), network.links, CALENDARS, network.start, network.data_date, network.order)
        )
        assert answer.boundaries()[sample] == wanted.end


def chance(curve, estimate, days):
    """Share of the 4 096 cells of a curve that round to so many days."""
    shares = (numpy.arange(4096) + 0.5) / 4096
    return float(numpy.mean(numpy.maximum(numpy.rint(curve.quantiles(estimate, shares)), 1) == days))


def test_a_small_network_against_every_combination_of_its_durations():
    estimates = {"a": Estimate(1, 2, 4), "b": Estimate(2, 3, 5), "c": Estimate(1, 4, 6)}
    answer = forecast(
        plain({"a": 2, "b": 3, "c": 4}, [("a", "c")]), estimates, settings=Settings(samples=40_000)
    )
    chances = {
        key: {days: chance(Curve(), estimate, days) for days in range(1, 12)}
        for key, estimate in estimates.items()
    }
    by_length = dict.fromkeys(range(30), 0.0)
    b_drives = 0.0
    for a, b, c in product(range(1, 12), repeat=3):
        weight = chances["a"][a] * chances["b"][b] * chances["c"][c]
        by_length[max(a + c, b)] += weight
        b_drives += weight * (b >= a + c)
    counts = answer.ready_days()
    for length, weight in by_length.items():
        seen = counts.get(START + timedelta(days=length), 0) / 40_000
        assert seen == pytest.approx(weight, abs=4 * math.sqrt(weight * (1 - weight) / 40_000) + 1e-4)
    assert answer.driving[""]["b"] == pytest.approx(b_drives, abs=0.005)


@pytest.mark.parametrize("paths", [1, 2, 4, 10])
def test_the_latest_of_equal_paths_is_the_power_of_one(paths):
    network = plain({f"p{n}": 100 for n in range(paths)}, [])
    estimates = {f"p{n}": Estimate(80, 100, 120) for n in range(paths)}
    answer = forecast(network, estimates, settings=Settings(samples=20_000))
    one = sum(chance(Curve(), Estimate(80, 100, 120), days) for days in range(1, 101))
    by_100 = answer.chance_by(START + timedelta(days=99))
    assert by_100 == pytest.approx(one**paths, abs=4 * math.sqrt(0.25 / 20_000))


@pytest.mark.parametrize("shape", ["triangular", "beta"])
@pytest.mark.parametrize("points", [(10, 20, 60), (10, 10, 60), (10, 60, 60), (100, 130, 140), (0, 1, 9)])
def test_low_and_high_are_met_with_ten_percent_on_either_side(shape, points):
    found = Curve(shape).quantiles(Estimate(*points), numpy.array([0.1, 0.9]))
    assert found == pytest.approx(points[::2], abs=0.01 * (points[2] - points[0]))


@pytest.mark.parametrize("points", [(10, 20, 60), (10, 10, 60), (30, 37, 40)])
def test_the_mode_of_a_fitted_curve_is_the_most_likely_value(points):
    shares = (numpy.arange(20_000) + 0.5) / 20_000
    days = Curve("triangular").quantiles(Estimate(*points), shares)
    width = (points[2] - points[0]) / 100
    density = [numpy.mean(abs(days - middle) < width) for middle in numpy.linspace(points[0], points[2], 51)]
    mode = numpy.linspace(points[0], points[2], 51)[int(numpy.argmax(density))]
    assert mode == pytest.approx(points[1], abs=0.06 * (points[2] - points[0]))


@pytest.mark.parametrize("mode", [0.0, 0.1, 0.35, 0.5, 0.99])
def test_the_beta_within_limits_equals_scipy(mode):
    shares = numpy.linspace(0.001, 0.999, 400)
    found = Curve("beta", "limits").quantiles(Estimate(0, round(1000 * mode), 1000), shares)
    wanted = 1000 * stats.beta(1 + 4 * round(1000 * mode) / 1000, 5 - 4 * round(1000 * mode) / 1000).ppf(
        shares
    )
    assert found == pytest.approx(wanted, abs=0.2)


@pytest.mark.parametrize(("share", "ranks"), [(0.5, (4902, 5099)), (0.8, (7921, 8079))])
def test_ranks_of_the_interval_are_the_exact_binomial_ones(share, ranks):
    middle, low, high = _ranks(share, 10_000)
    assert (middle, low, high) == (int(share * 10_000), *ranks)
    assert stats.binom.cdf(low - 1, 10_000, share) <= 0.025 < stats.binom.cdf(low, 10_000, share)
    assert stats.binom.cdf(high - 2, 10_000, share) < 0.975 <= stats.binom.cdf(high - 1, 10_000, share)


def test_quantiles_are_the_first_days_with_that_share_of_samples():
    answer = forecast(plain({"a": 5}, []), {"a": Estimate(2, 5, 9)}, settings=Settings(samples=999))
    for quantile in answer.quantiles():
        assert answer.chance_by(quantile.last_day) >= quantile.share
        assert answer.chance_by(quantile.last_day - timedelta(days=1)) < quantile.share
        assert quantile.low <= quantile.last_day <= quantile.high


def test_the_same_seed_gives_the_same_samples_and_another_seed_does_not():
    network, estimates = plain({"a": 50}, []), {"a": Estimate(20, 50, 90)}
    runs = [
        forecast(network, estimates, settings=Settings(samples=50, seed=seed)).boundaries()
        for seed in (1, 1, 2)
    ]
    assert runs[0] == runs[1] != runs[2]


def test_shorter_estimates_bring_every_sample_forward_whatever_else_changes():
    """Common random numbers: what a task draws does not depend on the other tasks."""
    durations = {"a": 5, "b": 5, "c": 5}
    estimates = {key: Estimate(3, 5, 12) for key in durations}
    before = forecast(plain(durations, [("a", "b")]), estimates).boundaries()
    more = plain({"x": 1, **durations}, [("a", "b")])
    after = forecast(more, {**estimates, "b": Estimate(2, 4, 10)}).boundaries()
    assert all(new <= old for new, old in zip(after, before, strict=True))
    assert after != before


def test_a_shared_cause_widens_the_spread_and_keeps_each_tasks_own():
    durations = {f"t{n}": 20 for n in range(10)}
    keys = list(durations)
    network = plain(durations, pairwise(keys))
    estimates = dict.fromkeys(keys, Estimate(12, 20, 34))
    spread, own = [], []
    for correlation in (0.0, 0.3, 0.8):
        answer = forecast(network, estimates, dict.fromkeys(keys, "rain"), Settings(causes=correlation))
        p10, _, _, p90 = answer.quantiles()
        spread.append((p90.last_day - p10.last_day).days)
        first = answer.quantiles("t0")
        own.append((first[3].last_day - first[0].last_day).days)
    assert spread[0] < spread[1] < spread[2]
    assert max(own) - min(own) <= 1


def test_the_correlation_asked_for_is_found_in_the_draws():
    draws, estimate = Draws(7, 40_000, 0.5), Estimate(100, 300, 500)
    a, b = (draws.days(key, estimate, Curve(), "rain") for key in "ab")
    apart = draws.days("c", estimate, Curve(), "frost")
    scores = [stats.norm.ppf((stats.rankdata(days) - 0.5) / len(days)) for days in (a, b, apart)]
    assert numpy.corrcoef(scores)[0] == pytest.approx([1, 0.5, 0], abs=0.02)


def test_work_under_way_is_sampled_for_what_remains():
    tasks = (
        Task("a", 10, "units", started=START, remaining=2),
        Task("b", 4, "units", started=START, finished=START),
    )
    network = Network(tasks, (), UNITS, START, START + timedelta(days=8))
    answer = forecast(
        network, {"a": Estimate(5, 10, 40), "b": Estimate(5, 10, 40)}, settings=Settings(samples=500)
    )
    lengths = {(day - START).days - 8 for day in answer.boundaries("a")}
    longest = Curve().quantiles(Estimate(5, 10, 40), numpy.array([1.0]))[0]
    assert min(lengths) == 1
    assert 40 * 0.2 < max(lengths) <= longest * 0.2
    assert set(answer.boundaries("b")) == {START + timedelta(days=1)}
    assert answer.driving[""] == {"a": 1.0, "b": 0.0}


def test_the_task_that_moves_the_date_most_comes_first():
    network = plain({"long": 50, "short": 5, "apart": 3}, [("long", "short")])
    estimates = {"long": Estimate(40, 50, 70), "short": Estimate(4, 5, 7), "apart": Estimate(2, 3, 4)}
    swings = forecast(network, estimates).swings()
    assert next(iter(swings)) == "long"
    assert swings["long"] == pytest.approx(30, abs=1.5)
    assert swings["short"] == pytest.approx(3, abs=1)
    assert swings["apart"] == pytest.approx(0, abs=1)


def test_driving_can_be_asked_for_a_gate():
    network = plain({"a": 5, "gate": 0, "b": 9}, [("a", "gate")])
    answer = forecast(network, {}, settings=Settings(samples=10), towards=["gate"])
    assert answer.driving == {"": {"a": 0, "b": 1, "gate": 0}, "gate": {"a": 1, "b": 0, "gate": 1}}


def test_more_samples_narrow_the_interval():
    network, estimates = plain({"a": 300}, []), {"a": Estimate(200, 300, 420)}
    widths = []
    for samples in (300, 30_000):
        p50 = forecast(network, estimates, settings=Settings(samples=samples)).quantiles(shares=[0.5])[0]
        widths.append((p50.high - p50.low).days)
    assert widths[1] < widths[0] / 4


@pytest.mark.parametrize("points", [(-1, 2, 3), (3, 2, 4), (1, 5, 4)])
def test_points_out_of_order_are_refused(points):
    with pytest.raises(EstimateError):
        Estimate(*points)


@pytest.mark.parametrize("given_", [{"samples": 0}, {"seed": -1}, {"causes": 1.5}])
def test_impossible_settings_are_refused(given_):
    with pytest.raises(ValueError, match=next(iter(given_))):
        Settings(**given_)


def test_an_estimate_for_nobody_is_refused():
    with pytest.raises(KeyError):
        forecast(plain({"a": 1}, []), {"b": Estimate(1, 2, 3)})


def test_calendars_apply_in_every_sample():
    tasks = (Task("a", 3, "site"), Task("b", 3, "two days"))
    network = Network(tasks, (Link("a", "b", "FS", 2, "calendar"),), CALENDARS, START)
    answer = forecast(
        network, {"a": Estimate(2, 3, 6), "b": Estimate(2, 3, 6)}, settings=Settings(samples=300)
    )
    assert {day.weekday() for day in answer.boundaries()} <= {2, 4}  # the day after a Tuesday or a Thursday
    assert date(2026, 3, 6) not in {day - timedelta(days=1) for day in answer.boundaries("a")}
