import random

import pytest

from coordination.pictures.cost_curve import CostCurve, CurveDay, Flag, cost_curve
from coordination.pictures.pen import PictureError
from tests.pictures.reading import SVG, outside, overlapping, parse

FORMS = ("sheet", "phone", "paper")


def curve(count, seed=1, flags=()):
    pick = random.Random(seed)
    days = tuple(CurveDay(pick.uniform(10, 400), 1 - n / count, f"day {n}") for n in range(count))
    return CostCurve(
        "Cost", "What each day costs.", days, ((0.0, "0"), (200.0, "2,000"), (400.0, "4,000")), tuple(flags),
        "mean cost of the day", "share of runs in which the trip is wasted",
        tuple(f"Wed {n % 30 + 1} Dec" for n in range(count)),
    )  # fmt: skip


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("count", [1, 2, 18, 45])
def test_no_words_run_into_each_other_or_off_the_sheet(form, count):
    for first, second in {(0, count - 1), (count // 2, count // 2), (count - 1, count // 3)}:
        flags = (Flag(first, "cheapest", strong=True), Flag(second, "booked"))
        drawing = parse(cost_curve(curve(count, flags=flags), form))
        assert overlapping(drawing) == []
        assert outside(drawing) == []


def test_the_cost_is_to_scale_and_every_day_has_its_words():
    drawn = curve(18)
    circles = list(parse(cost_curve(drawn, "sheet")).iter(f"{SVG}circle"))
    assert [each.find(f"{SVG}title").text for each in circles] == [day.words for day in drawn.days]
    ys, costs = [float(each.get("cy")) for each in circles], [day.cost for day in drawn.days]
    slope = (ys[1] - ys[0]) / (costs[1] - costs[0])
    assert slope < 0
    for y, cost in zip(ys, costs, strict=True):
        assert y == pytest.approx(ys[0] + slope * (cost - costs[0]), abs=0.05)


def test_the_bars_are_as_high_as_the_share_that_is_wasted():
    drawn = curve(18)
    bars = [
        float(each.get("height"))
        for each in parse(cost_curve(drawn, "sheet")).iter(f"{SVG}rect")
        if "picture-fill-tint" in (each.get("class") or "")
    ]
    assert len(bars) == 18
    assert [bar / bars[0] for bar in bars] == pytest.approx([day.wasted for day in drawn.days], abs=0.01)


def test_it_carries_no_style_attribute_and_names_itself():
    text = cost_curve(curve(5, flags=(Flag(2, "cheapest", strong=True),)), "sheet", "visit")
    assert "style=" not in text
    assert 'id="visit-title"' in text
    assert 'role="img"' in text


@pytest.mark.parametrize(
    ("altered", "named"),
    [({"days": ()}, "days"), ({"levels": ((0.0, "0"),)}, "levels"), ({"flags": (Flag(9, "x"),)}, "flags")],
)
def test_what_makes_no_picture_is_named(altered, named):
    told = {**vars(curve(3)), **altered}
    with pytest.raises(PictureError, match=named):
        cost_curve(CostCurve(**told))
    with pytest.raises(PictureError, match="prefix"):
        cost_curve(curve(3), "sheet", "2 bad")
