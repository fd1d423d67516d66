"""Text against what lies behind it, computed from the tokens themselves (WCAG 2.2, 1.4.3 and 1.4.11)."""

import re
from pathlib import Path

import pytest

from coordination.pictures.pen import SCREEN

CSS = Path(__file__).resolve().parents[2] / "static" / "css"
TEXT_PAIRS = [
    ("ink", "paper"),
    ("ink", "panel"),
    ("ink", "wash"),
    ("ink", "chosen"),
    ("ink", "tint"),
    ("quiet", "paper"),
    ("quiet", "panel"),
    ("quiet", "wash"),
    ("quiet", "chosen"),
    ("accent", "paper"),
    ("accent", "panel"),
    ("accent", "wash"),
    ("on-ink", "ink"),
    ("on-ink", "quiet"),
    ("picture-quiet", "picture-paper"),
    ("picture-quiet", "picture-panel"),
    ("picture-accent", "picture-paper"),
]
LINE_PAIRS = [("edge", "paper"), ("edge", "panel"), ("accent", "paper"), ("accent", "panel"), ("ink", "wash")]


def declared(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z0-9-]+):\s*([^;]+);", block))


def looks() -> dict[str, dict[str, str]]:
    """The tokens as they stand in each look; a later look only says what differs.

    Forced colours are left out: they are the reader's own.
    """
    text = (CSS / "tokens.css").read_text()
    root, *others = re.split(r"@media ([^{]+)\{", text)
    found = {"light": declared(root)}
    for query, block in zip(others[::2], others[1::2], strict=True):
        if "forced-colors" not in query:
            found[query.strip()] = {**found["light"], **declared(block)}
    return found


def colour(tokens: dict[str, str], name: str) -> str:
    value = tokens[name]
    while match := re.fullmatch(r"var\(--([a-z0-9-]+)\)", value):
        value = tokens[match[1]]
    return value


def luminance(code: str) -> float:
    """Relative luminance of ``#rrggbb``. Source: WCAG 2.2, definition of relative luminance."""
    channels = [int(code[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def too_weak(
    pairs: list[tuple[str, str]], tokens: dict[str, str], least: float
) -> list[tuple[str, str, float]]:
    measured = [(a, b, contrast(colour(tokens, a), colour(tokens, b))) for a, b in pairs]
    return [(a, b, round(value, 2)) for a, b, value in measured if value < least]


def test_the_measure_itself() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


def test_there_are_four_looks() -> None:
    assert list(looks()) == [
        "light",
        "(prefers-color-scheme: dark)",
        "(prefers-contrast: more) and (prefers-color-scheme: light)",
        "print",
    ]


@pytest.mark.parametrize("look", list(looks()))
def test_text_can_be_read(look: str) -> None:
    assert too_weak(TEXT_PAIRS, looks()[look], 4.5) == []


@pytest.mark.parametrize("look", list(looks()))
def test_edges_of_what_can_be_touched_are_seen(look: str) -> None:
    assert too_weak(LINE_PAIRS, looks()[look], 3.0) == []


def test_every_ink_of_the_drawings_has_a_token() -> None:
    tokens = looks()["light"]
    assert {f"picture-{ink}" for ink in SCREEN} <= set(tokens)
    rules = (CSS / "components.css").read_text()
    missing = [
        ink
        for ink in SCREEN
        if f".picture-fill-{ink} {{ fill: var(--picture-{ink}); }}" not in rules
        or f".picture-line-{ink} {{ stroke: var(--picture-{ink}); }}" not in rules
    ]
    assert missing == []


def test_the_light_look_is_that_of_the_drawings() -> None:
    tokens = looks()["light"]
    assert {ink: colour(tokens, f"picture-{ink}") for ink in SCREEN} == dict(SCREEN)
