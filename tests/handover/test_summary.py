"""What the first page of a report lists, and how it stays one page."""

from zoneinfo import ZoneInfo

import pytest

from coordination.handover.reading import Reader
from coordination.handover.summary import (
    at_places,
    listed,
    missing_lines,
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
    assert [(each.mark, each.number) for each in sums(SNAPSHOT, US)] == [
        ("present", 2),
        ("conceded", 1),
        ("missing", 1),
        ("open", 3),
    ]
    assert at_places(SNAPSHOT, frozenset({"pit"})) == "2 of 5 present, 1 by concession"
    assert at_places(SNAPSHOT, frozenset({"route"})) == ""


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
@pytest.mark.parametrize("most", [5, 9])
def test_a_list_never_grows_past_its_lines_and_says_how_many_more(count: int, length: int, most: int) -> None:
    lines = [f"{n} " + "word " * (length // 5) for n in range(count)]
    found = listed(lines, 230.0, most)
    assert found.height <= most
    assert sum(len(wrap(line, 230.0, 8.5)) for line in found.lines) + bool(found.more) <= most
    left = count - len(found.lines)
    assert found.more == (f"and {left} more, page" if left else "")


INSPECTED = {
    "requirement": "c@pit#card",
    "task": "c@pit",
    "text": {"en": "Electrical inspection"},
    "authority": "electrical",
    "round": 1,
    "number": "E-77",
    "dated": "2026-03-02",
    "result": "failed",
    "again_on": None,
    "evidence": "6f1d2c9a-51f4-4c5e-9a53-0d6b4f0c7e21",
    "sha256": None,
    "items": [
        {"task": f"box-{state}@pit", "text": {"en": f"Box {state}"}, "place": "pit",
         "trade": "electrical", "company": "", "state": state}
        for state in ("held", "at work", "accepted", "done")
    ],
}  # fmt: skip


@pytest.mark.parametrize("passed_since", [False, True])
def test_what_an_inspection_left_open_is_counted_and_named(passed_since: bool) -> None:
    again = {**INSPECTED, "round": 2, "number": "E-78", "result": "passed", "items": []}
    results = [INSPECTED, again] if passed_since else [INSPECTED]
    snapshot = {**SNAPSHOT, "places": [], "inspections": results}
    failed = [] if passed_since else ["Electrical inspection E-77: not passed"]
    named = [
        *failed,
        "Electrical inspection E-77: Box held (held)",
        "Electrical inspection E-77: Box at work (at work)",
    ]
    assert open_lines(snapshot, US) == ["Pour: test (refused)", *named, *open_lines(SNAPSHOT, US)[1:]]
    assert sums(snapshot, US)[-1].number == sums(SNAPSHOT, US)[-1].number + len(named)


def test_a_failed_inspection_of_this_gate_is_named_once() -> None:
    task = {**SNAPSHOT["tasks"][0], "key": "c@pit", "requirements": [asked("card", "failed")]}
    snapshot = {
        **SNAPSHOT,
        "tasks": [task],
        "facts": [],
        "places": [],
        "inspections": [{**INSPECTED, "items": []}],
    }
    assert open_lines(snapshot, US) == ["Dig: card (inspected, not passed)"]
