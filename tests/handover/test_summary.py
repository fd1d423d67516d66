"""What the first page of a report lists, and how it stays one page."""

from zoneinfo import ZoneInfo

import pytest

from coordination.handover.composing import room_for_drawing
from coordination.handover.reading import Reader
from coordination.handover.summary import (
    MOST_LINES,
    listed,
    missing_lines,
    of_place,
    open_lines,
    standing_of,
    sums,
)
from coordination.pictures.typeface import wrap

US = Reader("en-us", "us", ZoneInfo("America/New_York"))


def asked(key: str, how: str) -> dict[str, object]:
    return {"key": key, "text": {"en": key}, "how": how, "outcome": "none" if how == "none" else "accepted"}


SNAPSHOT = {
    "tasks": [
        {
            "key": "a@pit",
            "place": "pit",
            "text": {"en": "Dig"},
            "requirements": [asked("depth", "accepted"), asked("photo", "none"), asked("level", "conceded")],
        },
        {
            "key": "b@pit",
            "place": "pit",
            "text": {"en": "Pour"},
            "requirements": [asked("ticket", "released"), asked("test", "refused")],
        },
    ],
    "facts": [
        {"key": "x", "state": "known", "text": {"en": "Known"}, "typed": "1"},
        {"key": "y", "state": "assumed", "text": {"en": "Warmth"}, "typed": "58 F"},
        {"key": "z", "state": "unknown", "text": {"en": "Groundwater"}, "typed": ""},
    ],
}


def test_everything_asked_for_is_counted_once() -> None:
    assert [(each.mark, each.number) for each in sums(SNAPSHOT)] == [
        ("present", 2),
        ("conceded", 1),
        ("missing", 1),
        ("open", 3),
    ]
    assert of_place(SNAPSHOT, "pit") == "2 of 5 present, 1 by concession"
    assert of_place(SNAPSHOT, "route") == ""


def test_missing_and_open_are_named() -> None:
    assert missing_lines(SNAPSHOT, US) == ["Dig: photo", "Dig: level (by concession)"]
    assert open_lines(SNAPSHOT, US) == [
        "Pour: test (refused)",
        "Warmth: assumed, 58 F",
        "Groundwater: not known",
    ]


@pytest.mark.parametrize(
    ("how", "standing"),
    [("handed in", "open"), ("not enough", "open"), ("done", "present"), ("none", "missing")],
)
def test_what_does_not_count_yet_is_open(how: str, standing: str) -> None:
    assert standing_of({"how": how, "outcome": "none"}) == standing


@pytest.mark.parametrize("count", [0, 1, 8, 9, 10, 200])
@pytest.mark.parametrize("length", [10, 150])
def test_a_list_never_grows_past_its_lines_and_says_how_many_more(count: int, length: int) -> None:
    lines = [f"{n} " + "word " * (length // 5) for n in range(count)]
    found = listed(lines)
    assert found.height <= MOST_LINES
    assert sum(len(wrap(line, 245.0, 8.5)) for line in found.lines) + bool(found.more) <= MOST_LINES
    left = count - len(found.lines)
    assert found.more == (f"and {left} more, on the next page" if left else "")


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_fullest_first_page_leaves_room_for_a_drawing(paper: str) -> None:
    full = listed(["word " * 30 for _each in range(50)])
    why = "reopened March 2, 2026 10:30 EST: the evidence was withdrawn: wrong wall " * 2
    first = {
        "missing": full,
        "still": full,
        "rounds": [{"number": "9", "day": "", "why": why}] * 3,
        "block": [[("Project", "A long name of a project on two lines")] * 3] * 3,
        "long": [
            ("Permits", "Building department: BU-7672 of June 8, 2026; " * 6),
            ("Codes", "IBC 2021; " * 8),
        ],
    }
    assert 40 <= room_for_drawing(first, paper) <= 150
