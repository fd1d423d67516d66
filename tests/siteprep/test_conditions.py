import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coordination.siteprep.condition_reading import parse_condition
from coordination.siteprep.conditions import (
    ConditionError,
    Truth,
    both,
    either,
    keys,
    opposite,
)

VALUES = (True, False, None)


class Known:
    """Facts as a plain mapping."""

    landings = ("1", "2")

    def __init__(self, **values):
        self.values = {key.replace("__", "."): value for key, value in values.items()}

    def value(self, key):
        return self.values.get(key)


def said(value):
    return Truth(value, frozenset({"x"} if value is None else ()))


@pytest.mark.parametrize(("one", "other"), list(itertools.product(VALUES, VALUES)))
def test_and_or_not_follow_kleene(one, other):
    least, greatest = (f(x if x is not None else 0.5 for x in (one, other)) for f in (min, max))
    assert both(said(one), said(other)).value == {0: False, 0.5: None, 1: True}[least]
    assert either(said(one), said(other)).value == {0: False, 0.5: None, 1: True}[greatest]
    assert opposite(said(one)).value == (None if one is None else not one)


@pytest.mark.parametrize(
    ("line", "facts", "truth"),
    [
        ("", Known(), Truth(True)),
        ("a.b", Known(a__b=True), Truth(True)),
        ("a.b", Known(), Truth(None, frozenset({"a.b"}))),
        ("not a.b", Known(), Truth(None, frozenset({"a.b"}))),
        ("a.b and c", Known(c=False), Truth(False)),
        ("a.b or c", Known(c=True), Truth(True)),
        ("a.b and c", Known(c=True), Truth(None, frozenset({"a.b"}))),
        ("a.b or c", Known(), Truth(None, frozenset({"a.b", "c"}))),
        ("a >= 1", Known(a=2), Truth(True)),
        ("a < b", Known(a=2), Truth(None, frozenset({"b"}))),
        ("a < b", Known(a=2, b=3), Truth(True)),
        ("a == 'x'", Known(a="y"), Truth(False)),
        ("a != 'x'", Known(a="y"), Truth(True)),
        ("a in ('x', 'y')", Known(a="y"), Truth(True)),
        ("not (a or b) and c", Known(a=False, b=False, c=True), Truth(True)),
        ("any landing.*.rear", Known(landing__1__rear=False, landing__2__rear=True), Truth(True)),
        ("any landing.*.rear", Known(landing__1__rear=False), Truth(None, frozenset({"landing.2.rear"}))),
    ],
)
def test_a_line_is_true_false_or_unknown_with_its_reason(line, facts, truth):
    assert parse_condition(line).truth(facts) == truth


def test_a_landing_is_put_in_its_place():
    condition = parse_condition("landing.{landing}.rear and x").at("2")
    assert keys(condition) == {"landing.2.rear", "x"}


@pytest.mark.parametrize(
    "line",
    [
        "a and",
        "and a",
        "a ==",
        "(a",
        "a)",
        "a b",
        "a in ('x'",
        "a in (b)",
        "landing.*.rear",
        "any a",
        "a = 1",
        "a == $",
        "not",
    ],
)
def test_what_is_no_condition_is_refused(line):
    with pytest.raises(ConditionError):
        parse_condition(line)


lines = st.recursive(
    st.sampled_from(["a", "b", "c == 'x'", "d >= 2"]),
    lambda inner: st.one_of(
        inner.map(lambda one: f"not ({one})"),
        st.tuples(inner, st.sampled_from(["and", "or"]), inner).map(lambda p: f"({p[0]}) {p[1]} ({p[2]})"),
    ),
    max_leaves=8,
)
ANSWERS = {"a": (True, False), "b": (True, False), "c": ("x", "y"), "d": (1, 2, 3)}


@given(lines, st.data())
def test_knowing_more_never_turns_an_answer_round(line, data):
    condition = parse_condition(line)
    known = {key: data.draw(st.sampled_from((None, *answers))) for key, answers in ANSWERS.items()}
    before = condition.truth(Known(**known))
    full = {
        key: known[key] if known[key] is not None else data.draw(st.sampled_from(ANSWERS[key]))
        for key in known
    }
    after = condition.truth(Known(**full))
    assert after.value is not None
    assert before.value in (None, after.value)
    assert (before.value is None) == bool(before.unknown)
    assert before.unknown <= {key for key, value in known.items() if value is None}
