"""Raw colours live in the tokens only; everything else uses their meaning."""

import re
from pathlib import Path

import pytest

CSS = Path(__file__).resolve().parents[2] / "static" / "css"
SHEETS = sorted(path.name for path in CSS.glob("*.css"))
RAW = re.compile(
    r"#[0-9a-fA-F]{3,8}\b(?=[;,) ])|\b(?:rgb|hsl|hwb|lab|lch|oklab|oklch|color)a?\(|:\s*(?:white|black|gray|grey|red)\b"
)


def without_comments(text: str) -> str:
    return re.sub(r"/\*.*?\*/", "", text, flags=re.S)


def test_the_sheets_are_the_layers() -> None:
    order = re.search(r"@layer ([a-z, ]+);", (CSS / "tokens.css").read_text())
    assert order is not None
    assert order[1].split(", ") == ["tokens", "base", "layout", "components", "print"]
    assert sorted(f"{name}.css" for name in order[1].split(", ")) == SHEETS


@pytest.mark.parametrize("name", [name for name in SHEETS if name != "tokens.css"])
def test_no_raw_colour_outside_the_tokens(name: str) -> None:
    assert RAW.findall(without_comments((CSS / name).read_text())) == []


@pytest.mark.parametrize("name", SHEETS)
def test_every_rule_lies_in_the_layer_of_its_sheet(name: str) -> None:
    text = without_comments((CSS / name).read_text())
    outside = re.sub(r"@layer [a-z, ]+;", "", text).strip()
    assert outside.startswith(f"@layer {name.removesuffix('.css')} {{")
    depth, closed_at = 0, []
    for place, letter in enumerate(outside):
        depth += {"{": 1, "}": -1}.get(letter, 0)
        if letter == "}" and depth == 0:
            closed_at.append(place)
    assert closed_at == [len(outside) - 1]


def test_every_token_that_is_used_is_declared() -> None:
    texts = {name: without_comments((CSS / name).read_text()) for name in SHEETS}
    declared = set(re.findall(r"(--[a-z0-9-]+):", texts["tokens.css"]))
    used = {token for text in texts.values() for token in re.findall(r"var\((--[a-z0-9-]+)", text)}
    assert used - declared == set()
    assert declared - used == set()
