"""Whatever the declared limits let through gives a result, an error that names the field, or OutOfTable."""

import json
import random
from dataclasses import MISSING
from fractions import Fraction

import pytest

from coordination.siteprep.calculations.inputs import InputErrors, specs
from coordination.siteprep.calculations.registry import CALCULATIONS
from coordination.siteprep.calculations.values import OutOfTable

INCH = 25_400_000


def some(spec, dice):
    if spec.of is not None:
        return some_fields(spec.of, dice)
    fixed = {
        "choice": spec.choices,
        "flag": (True, False),
        "text": ("1", "2", "A", "B"),
        "date": ("2026-03-02",),
    }
    if spec.kind in fixed:
        return dice.choice(fixed[spec.kind])
    return some_number(spec, dice)


def some_number(spec, dice):
    low = spec.low if spec.low is not None else 0
    high = spec.high if spec.high is not None else low + (400 * INCH if spec.kind == "length" else 500)
    if spec.kind == "length":
        length = dice.choice([low, high, min(high, low + INCH * dice.randint(1, 200))])
        return f"{int(length) / 1_000_000:.6f} mm"
    number = dice.choice([low, high, Fraction(dice.randint(int(low * 10), int(high * 10)), 10)])
    number = min(high, max(low, number))
    return int(number) if spec.kind == "integer" else float(number)


def some_fields(cls, dice):
    fields = {}
    for name, spec, default in specs(cls):
        if default is not MISSING and dice.random() < 0.5:
            continue
        if spec.many:
            fields[name] = [some(spec, dice) for _ in range(spec.least + dice.randint(0, 2))]
        else:
            fields[name] = some(spec, dice)
    return fields


def told(calculation, given):
    try:
        return json.dumps(calculation.run(given))
    except InputErrors as refused:
        return all(p.field and p.wrong and p.right for p in refused.problems) and str(refused)
    except OutOfTable as outside:
        return outside.covers


@pytest.mark.parametrize("name", CALCULATIONS)
def test_nothing_else_is_raised(name):
    calculation, dice = CALCULATIONS[name], random.Random(name)
    times = 8 if name in {"backing", "hoistway_survey"} else 40
    assert all(told(calculation, some_fields(calculation.inputs, dice)) for _ in range(times))
