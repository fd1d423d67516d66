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
        (GateLine("Ready for rails", 48, "3 missing", 46, 60, 55, "8 in 10 by 1 June"), GateLine("Ready to close in", 50, "held", 50, 50, 50), GateLine("Inspection", 99, "held", 80, 99)),
        Forecast(86, 97, "8 in 10 by 12 June"), (34, "today"), gates_title="Gates", **more,
    )  # fmt: skip


@pytest.mark.parametrize("form", ["sheet", "phone", "paper"])
@pytest.mark.parametrize("count", [1, 30, 100])
def test_no_words_run_into_each_other(form, count):
    for seed in range(3):
        root = parse(time_chart(chart(count, seed), form, prefix="t"))
        assert (overlapping(root), outside(root)) == ([], [])


def test_a_name_wider_than_the_sheet_ends_in_dots_and_keeps_its_title():
    name = "Landing 2: " + "close the landing wall up to the door, " * 3
    root = parse(
        time_chart(
            TimeChart(
                "T", "d", 10, TRADES, (Bar("a", "lift", name, 0, 5),), (), str, dict.fromkeys(MANNERS, "")
            ),
            "phone",
            prefix="t",
        )
    )
    texts = ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]
    assert [text for text in texts if text.startswith("Landing 2") and text.endswith("…")] != []
    assert outside(root) == []
    assert any("".join(each.itertext()).startswith(name) for each in root.iter(f"{SVG}title"))


def test_a_small_tick_takes_no_room_from_the_words_after_it():
    ticks = (Tick(0, "", False), Tick(1, "Dec 2026", True))
    whole = TimeChart(
        "T", "d", 100, TRADES, (Bar("a", "lift", "", 0, 5),), ticks, str, dict.fromkeys(MANNERS, "")
    )
    assert "Dec 2026" in time_chart(whole, "phone", prefix="t")


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


def test_a_gate_stands_on_its_day_between_its_first_and_last_expected_one():
    """The diamond, its pole, the dashed box and the stroke lie on the axis of the bars."""
    bars = (Bar("a", "lift", "", 0, 100),)
    gate = GateLine("Ready", 40, "held", 30, 80, 60)
    whole = TimeChart("T", "d", 100, TRADES, bars, (), str, dict.fromkeys(MANNERS, ""), (gate,))
    root = parse(time_chart(whole, "sheet", prefix="t"))
    [axis] = [r for r in root.iter(f"{SVG}rect") if r.get("height") == "7"]
    left, width = float(axis.get("x")), float(axis.get("width"))
    [group] = [g for g in root.iter(f"{SVG}g") if "picture-gate" in (g.get("class") or "")]
    box = next(group.iter(f"{SVG}rect"))
    day = {
        name: left + width * value / 100
        for name, value in {"low": 30, "at": 40, "sure": 60, "high": 80}.items()
    }
    assert float(box.get("x")) == pytest.approx(day["low"], abs=0.02)
    assert float(box.get("width")) == pytest.approx(day["high"] - day["low"], abs=0.03)
    [stroke] = [line for line in group.iter(f"{SVG}line") if line.get("stroke-width") == "1.8"]
    assert float(stroke.get("x1")) == pytest.approx(day["sure"], abs=0.02)
    diamond = next(group.iter(f"{SVG}path")).get("d")
    assert float(diamond[1:].split()[0]) == pytest.approx(day["at"], abs=0.02)


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
        (GateLine("Ready", 8, "held"), GateLine("Sure", 9, "held", 8, 10, 9, "8 of 10 by d9", "/g")),
        Forecast(8, 9, "likely"),
    )
    assert [(r.group, r.cells, r.href) for r in table_of_chart(small)] == [
        ("task", ("Framing", "Frame", "d0", "d4", "planned"), None),
        ("task", ("Lift", "Rails", "d5", "d7", "critical"), "/b"),
        ("task", ("Lift", "Gate", "d8", "d8", "planned"), None),
        ("gate", ("Ready", "d8", "held"), None),
        ("gate", ("Sure", "d9", "held", "d8", "d10", "8 of 10 by d9"), "/g"),
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
