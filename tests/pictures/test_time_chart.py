import itertools
import random
import time

import pytest

from coordination.pictures.pen import PictureError
from coordination.pictures.time_chart import (
    Bar,
    Forecast,
    GateLine,
    Tick,
    TimeChart,
    packed,
    table_of_chart,
    time_chart,
)
from tests.pictures.reading import SVG, outside, overlapping, parse

MANNERS = ("planned", "critical", "provisional", "done")
TRADES = tuple(
    (t, t.capitalize())
    for t in ("concrete", "framing", "electrical", "drywall", "lift", "general contractor")
)
NAMES = (
    "Form the pit",
    "Vertical backing at the rail wall",
    "Main disconnect with auxiliary contact",
    "Survey",
)


def chart(count, seed=1, **more):
    pick = random.Random(seed)
    bars = []
    for i in range(count):
        start = pick.randint(0, 95)
        bars.append(
            Bar(
                f"t{i}",
                pick.choice(TRADES)[0],
                pick.choice(NAMES),
                start,
                min(100, start + pick.randint(0, 12)),
                pick.choice(MANNERS),
                slack=pick.choice((0, 3)),
            )
        )
    return TimeChart(
        "Time", "A chart.", 100, TRADES, tuple(bars), tuple(Tick(d, f"week {d // 5}", d % 20 == 0) for d in range(0, 100, 5)),
        lambda day: f"day {day:g}", {m: f"{m} work" for m in MANNERS},
        (GateLine("Ready for rails", 48, "3 missing"), GateLine("Ready to close in", 50, "held"), GateLine("Inspection", 99, "held")),
        Forecast(86, 97, "8 in 10 by 12 June"), (34, "today"), **more,
    )  # fmt: skip


@pytest.mark.parametrize("form", ["sheet", "phone", "paper"])
@pytest.mark.parametrize("count", [1, 30, 100])
def test_no_words_run_into_each_other(form, count):
    for seed in range(3):
        root = parse(time_chart(chart(count, seed), form, prefix="t"))
        assert (overlapping(root), outside(root)) == ([], [])


def test_bars_lie_on_one_axis():
    bars = tuple(Bar(f"t{i}", "framing", "", 10 * i, 10 * i + 5, "critical") for i in range(10))
    plain = TimeChart("T", "d", 100, TRADES, bars, (), str, dict.fromkeys(MANNERS, ""))
    root = parse(time_chart(plain, "sheet", prefix="t"))
    boxes = [
        next(r for r in g.iter(f"{SVG}rect") if "fill-ink" in (r.get("class") or ""))
        for g in root.iter()
        if g.get("data-task")
    ]
    starts = [float(b.get("x")) for b in boxes]
    steps = [b - a for a, b in itertools.pairwise(starts)]
    assert max(steps) - min(steps) < 0.02
    assert all(abs(float(b.get("width")) * 2 - steps[0]) < 0.03 for b in boxes)


def test_each_manner_has_a_line_type_of_its_own():
    bars = tuple(Bar(m, "lift", "", 10, 20, m) for m in MANNERS)
    root = parse(
        time_chart(
            TimeChart("T", "d", 100, TRADES, bars, (), str, dict.fromkeys(MANNERS, "")), "paper", prefix="t"
        )
    )
    drawn = set()
    for group in (g for g in root.iter() if g.get("data-task")):
        drawn.add(
            tuple(
                (r.get("height"), r.get("stroke-dasharray"), r.get("fill"))
                for r in group.iter(f"{SVG}rect")
                if r.get("fill") != "#ffffff" or r.get("stroke")
            )
        )
    assert len(drawn) == 4


def test_a_hundred_tasks_are_quick():
    whole = chart(100)
    began = time.perf_counter()
    time_chart(whole, "sheet", prefix="t")
    assert time.perf_counter() - began < 0.5


def test_table_says_the_same_as_the_chart():
    bars = (
        Bar("b", "lift", "Rails", 5, 8, "critical", href="/b"),
        Bar("a", "framing", "Frame", 0, 5),
        Bar("m", "lift", "Gate", 8, 8),
    )
    small = TimeChart(
        "T",
        "d",
        10,
        TRADES,
        bars,
        (),
        lambda d: f"d{d:g}",
        {m: m for m in MANNERS},
        (GateLine("Ready", 8, "held"),),
        Forecast(8, 9, "likely"),
    )
    assert [(r.group, r.cells, r.href) for r in table_of_chart(small)] == [
        ("task", ("Framing", "Frame", "d0", "d4", "planned"), None),
        ("task", ("Lift", "Rails", "d5", "d7", "critical"), "/b"),
        ("task", ("Lift", "Gate", "d8", "d8", "planned"), None),
        ("gate", ("Ready", "d8", "held"), None),
        ("forecast", ("likely", "d8", "d9"), None),
    ]


def test_packing_never_puts_two_spans_in_one_place():
    pick = random.Random(5)
    spans = sorted((s, s + pick.randint(1, 30)) for s in (pick.randint(0, 300) for _ in range(200)))
    lanes = packed(spans, 3)
    for lane in set(lanes):
        own = [span for span, at in zip(spans, lanes, strict=True) if at == lane]
        assert all(b[0] - a[1] >= 3 for a, b in itertools.pairwise(own))


def test_packing_uses_no_more_lanes_than_spans_meet_at_once():
    spans = sorted((s, s + 10.0) for s in range(0, 100, 5))
    assert max(packed(spans, 0)) + 1 == 2


@pytest.mark.parametrize(
    ("bar", "complaint"),
    [
        (Bar("x", "roofing", "", 0, 1), "bars: 'x' names the trade 'roofing', which is not among the trades"),
        (Bar("x", "lift", "", 2, 1), "bars: 'x' ends before it starts"),
    ],
)
def test_wrong_bars_are_refused_by_name(bar, complaint):
    with pytest.raises(PictureError) as refused:
        TimeChart("T", "d", 10, TRADES, (bar,), (), str, dict.fromkeys(MANNERS, ""))
    assert str(refused.value) == complaint


def test_no_style_attributes():
    assert "style=" not in time_chart(chart(20), "sheet", prefix="t")
