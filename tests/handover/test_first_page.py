"""The first sheet of a report at its fullest: one sheet, nothing over anything else, the rest counted with its page."""

import json
import re
import subprocess
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest

from coordination.gates.models import Clearing
from coordination.handover.composing import compose_gate_report
from tests.handover.held_on_record import last_clearing, site_with_all

WORD = re.compile(r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">([^<]+)</word>')
LONG = "Old granary and grain elevator of the Upper Harbor Cooperative Society, north annex"
GATE = {
    "en": "Closed in and firestopped on every floor of both wings, ready for the lift crew",
    "es": "Cerrado y con sellado cortafuego en cada piso de las dos alas, listo para el equipo",
}
AUTHORITIES = ("elevator", "building", "electrical", "fire", "plumbing")


def full(snapshot: dict[str, Any]) -> dict[str, Any]:
    """The same with everything long and many of it."""
    [task] = [each for each in snapshot["tasks"] if each["key"] == "backing@rail-wall"]
    asked = task["requirements"][0]
    for number in range(30):
        text = {
            "en": f"Photo {number} of what stands behind the panel of the north annex",
            "es": f"Foto {number} de lo que está detrás del panel del anexo norte",
        }
        task["requirements"].append(
            {**asked, "key": f"more-{number}", "text": text, "evidence": [], "outcome": "none", "how": "none"}
        )
        fact = {"key": f"fact-{number}", "text": text, "state": "assumed", "typed": "58 F", "value": 1}
        snapshot["facts"].append({"said_by": "", "source": "", "said_on": None, **fact})
    snapshot["project"] |= {"name": LONG, "place": f"{LONG}, 12 Harrow Lane"}
    snapshot["gate"]["text"] = GATE
    snapshot["authorities"] = [
        {"kind": kind, "name": LONG, "permit": f"{kind}-2026-000{number}", "permit_on": "2026-03-02"}
        for number, kind in enumerate(AUTHORITIES)
    ]
    snapshot["rounds"] *= 5
    return snapshot


def words_on(path: Path, page: int) -> list[tuple[float, float, float, float, str]]:
    """Left, top, right, bottom in points of each word, as another program reads it."""
    command = ["pdftotext", "-bbox", "-f", str(page), "-l", str(page), str(path), "-"]
    told = subprocess.run(command, capture_output=True, text=True, timeout=60, check=True).stdout
    return [(*(float(each) for each in found[:4]), found[4]) for found in WORD.findall(told)]  # type: ignore[misc]


def over_one_another(words: list[tuple[float, float, float, float, str]]) -> Iterator[tuple[str, str]]:
    """Pairs whose middles meet: boxes of lines that stand close overlap at their edges."""
    inner = [
        (left + 0.5, top + (bottom - top) * 0.3, right - 0.5, bottom - (bottom - top) * 0.3, text)
        for left, top, right, bottom, text in words
        if bottom - top > 3  # headings for the outline alone
    ]
    for one, other in combinations(inner, 2):
        if one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]:
            yield one[4], other[4]


@pytest.fixture
def fullest(db: Any) -> Clearing:
    clearing = last_clearing(site_with_all())
    clearing.snapshot = json.dumps(full(json.loads(bytes(clearing.snapshot)))).encode()
    return clearing


@pytest.mark.parametrize(
    ("language", "paper"), [("en-us", "letter"), ("es", "letter"), ("en-us", "a4"), ("es", "a4")]
)
def test_it_stays_one_sheet_on_which_nothing_covers_another(
    fullest: Clearing, tmp_path: Path, language: str, paper: str
) -> None:
    composed = compose_gate_report(fullest, language=language, paper=paper)
    drawing = composed.resources["drawing/section.svg"].decode()  # its own words stand where its tests say
    composed.resources["drawing/section.svg"] = re.sub(
        r"<text.*?</text>", "", drawing, flags=re.DOTALL
    ).encode()
    path = tmp_path / "report.pdf"
    path.write_bytes(composed.render())
    first, second = (words_on(path, page) for page in (1, 2))
    assert list(over_one_another(first)) == []
    text = " ".join(word[4] for word in first)
    assert composed.code in text
    assert {"Contents", "Contenido"} & {word[4] for word in second}
    listed = sum(text.count(word) for word in ("Photo ", "Foto "))
    more = re.findall(r"(?:and|y) (\d+) (?:more, page|más, página) (\d+)", text)
    assert sum(int(number) for number, _page in more) == 61 - listed - 1  # one by concession
    for _number, page in more:
        assert {"Missing,", "Falta,", "Still", "Todavía"} & {word[4] for word in words_on(path, int(page))}


def test_words_over_one_another_are_noticed() -> None:
    lines = [
        (10.0, 10.0, 40.0, 20.0, "one"),
        (10.0, 19.0, 40.0, 29.0, "below"),
        (30.0, 12.0, 60.0, 22.0, "over"),
    ]
    assert list(over_one_another(lines)) == [("one", "over")]


def test_a_drawing_without_room_stands_with_its_table(
    fullest: Clearing, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Words that fill the sheet are never cut for it."""
    monkeypatch.setattr("coordination.handover.first_page.TALL", {"letter": 150.0})
    html = compose_gate_report(fullest, language="en-us", paper="letter").html
    first, rest = html.split('id="drawing"')
    assert (first.count("drawing/section.svg"), rest.count("drawing/section.svg")) == (0, 1)
