"""A state's mark beside its word and its hatch on the drawing are of one kind: tint, accent, or ink alone."""

import re
from pathlib import Path

import pytest

from coordination.pictures.patterns import STATES, definitions, state_pattern
from coordination.pictures.pen import SCREEN, Pen
from coordination.web.words import LOOKS

MARKS = Path(__file__).resolve().parents[2] / "templates" / "components" / "marks.html"


def symbol(mark: str) -> str:
    found = re.search(rf'<symbol id="mark-{mark}".*?</symbol>', MARKS.read_text())
    assert found is not None
    return found[0]


def tile(state: str) -> str:
    found = re.search(
        rf'<pattern id="it-{state_pattern(state)}".*?</pattern>', definitions(Pen("it", SCREEN))
    )
    assert found is not None
    return found[0]


@pytest.mark.parametrize("state", STATES)
def test_mark_and_hatch_have_the_same_ground_and_the_same_accent(state: str) -> None:
    mark, hatch = symbol(LOOKS[state].mark), tile(state)
    assert ("mark-tint" in mark, "accent" in mark) == ("picture-fill-tint" in hatch, "accent" in hatch)


def test_only_what_is_over_is_tinted() -> None:
    assert [state for state in STATES if "picture-fill-tint" in tile(state)] == ["accepted"]
