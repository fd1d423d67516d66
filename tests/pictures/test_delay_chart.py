"""The end and the gates, planned and built: to scale, in order, readable without colour."""

import re
from dataclasses import replace

import pytest

from coordination.pictures.delay_chart import (
    EndChart,
    GateChart,
    GatePair,
    Step,
    Steps,
    end_chart,
    gate_chart,
)
from coordination.pictures.pen import PictureError
from coordination.pictures.time_chart import Tick
from tests.pictures.reading import SVG, parse

END = EndChart(
    "How the end moved", "One bar for each cause.", 0.0, "As planned: Wed 2 Sep", 6.0, "As it stands: Tue 8 Sep",
    (
        Steps("First window: 7 days later", (Step("Make the lift: +8 days", 8.0), Step("Another order: -1 day", -1.0))),
        Steps("Second window: 1 day sooner", (Step("Adjust: -1 day", -1.0),)),
    ),
    (Tick(0.0, "Sep 2026", strong=True), Tick(7.0, "7 Sep")), -3.0, 10.0,
)  # fmt: skip
GATES = GateChart(
    "Gates", "Planned and built.",
    (GatePair("Ready to pour", 0.0, 3.0, True, "3 days later"), GatePair("Handover", 60.0, 60.0, False, "on the same day")),
    (), -7.0, 70.0,
)  # fmt: skip


@pytest.mark.parametrize("form", ["sheet", "phone", "paper"])
def test_bars_lie_to_scale_end_to_end(form):
    drawn = parse(end_chart(END, form, prefix="end"))
    bars = [box for box in drawn.iter(f"{SVG}rect") if box.get("height") == "8"]
    spans = [(float(box.get("x")), float(box.get("x")) + float(box.get("width"))) for box in bars]
    scale = (spans[0][1] - spans[0][0]) / 8
    assert scale > 0
    assert spans[1] == pytest.approx((spans[0][1] - scale, spans[0][1]), abs=0.05)
    assert spans[2] == pytest.approx((spans[0][1] - 2 * scale, spans[0][1] - scale), abs=0.05)
    fills = [box.get("class").split()[0] for box in bars]
    assert fills == ["picture-fill-ink", "picture-fill-panel", "picture-fill-panel"]


@pytest.mark.parametrize("form", ["sheet", "phone", "paper"])
@pytest.mark.parametrize(
    "draw", [lambda form: end_chart(END, form, prefix="p"), lambda form: gate_chart(GATES, form, prefix="p")]
)
def test_it_is_one_named_picture_without_style(form, draw):
    text = draw(form)
    drawn = parse(text)
    assert drawn.get("role") == "img"
    assert drawn.get("aria-labelledby") == "p-title p-desc"
    assert "style=" not in text
    width = float(drawn.get("viewBox").split()[2])
    for box in drawn.iter(f"{SVG}rect"):
        assert -0.5 <= float(box.get("x")) <= float(box.get("x")) + float(box.get("width")) <= width + 0.5


def test_every_row_says_its_words_in_full_to_who_does_not_see_it():
    titles = re.findall(r"<g class=\"picture-row\"><title>(.*?)</title>", end_chart(END, "phone", prefix="p"))
    assert titles == [
        "As planned: Wed 2 Sep", "Make the lift: +8 days", "Another order: -1 day", "Adjust: -1 day",
        "As it stands: Tue 8 Sep",
    ]  # fmt: skip
    assert re.findall(r"<title>(.*?)</title>", gate_chart(GATES, "sheet", prefix="p"))[0:] == [
        "3 days later",
        "on the same day",
    ]


def test_a_cleared_gate_is_full_and_an_expected_one_outlined():
    diamonds = re.findall(r'<path class="(picture-fill-\w+)', gate_chart(GATES, "sheet", prefix="p"))
    assert diamonds == ["picture-fill-panel", "picture-fill-ink", "picture-fill-panel", "picture-fill-panel"]


def test_what_cannot_be_drawn_is_refused():
    with pytest.raises(PictureError, match="high"):
        replace(END, low=5.0, high=5.0)
    with pytest.raises(PictureError, match="high"):
        replace(GATES, low=5.0, high=1.0)
    with pytest.raises(PictureError, match="prefix"):
        end_chart(END, "sheet", prefix="1 2")
