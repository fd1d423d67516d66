"""What authorities found, for a paper: each official result, and the work that puts right what was not passed."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from coordination.gates.sentences import party_words, state_words, trade_words
from coordination.handover.places_read import place_words
from coordination.handover.reading import Reader, Snapshot, result_words

PUT_RIGHT = frozenset({"accepted", "done"})
Frozen = Mapping[str, Any]


@dataclass(frozen=True)
class InspectionRow:
    """One coming of an authority. ``number`` is the report's among the originals, 0 where it is not one of them."""

    what: str
    place: str
    authority: str
    round: int
    paper: str
    number: int
    result: str
    passed: bool
    again: str


@dataclass(frozen=True)
class ItemRow:
    """One thing that was not passed, with whose work it is and how far that has come."""

    inspection: str
    text: str
    place: str
    owner: str
    state: str
    open: bool


def inspection_rows(snapshot: Snapshot, reader: Reader, numbers: Mapping[str, int]) -> list[InspectionRow]:
    """Every official result, oldest first. ``numbers``: of the originals, by SHA-256."""
    return [
        InspectionRow(
            what=reader.text(each["text"]),
            place=place_words(snapshot, each["task"], reader),
            authority=capfirst(party_words(each["authority"] or "")),
            round=each["round"],
            paper=_("No. %(number)s of %(day)s")
            % {"number": each["number"], "day": reader.day(each["dated"])},
            number=numbers.get(each["sha256"] or "", 0),
            result=result_words(each["result"]),
            passed=each["result"] == "passed",
            again=reader.day(each["again_on"]),
        )
        for each in snapshot.get("inspections", ())
    ]


def item_rows(snapshot: Snapshot, reader: Reader) -> list[ItemRow]:
    """Everything that was not passed in any round, oldest first."""
    return [
        ItemRow(
            inspection=_called(each, reader),
            text=reader.text(item["text"]),
            place=place_words(snapshot, item["task"], reader),
            owner=", ".join(filter(None, (capfirst(trade_words(item["trade"])), item["company"]))),
            state=state_words(item["state"]),
            open=item["state"] not in PUT_RIGHT,
        )
        for each in snapshot.get("inspections", ())
        for item in each["items"]
    ]


def open_results(snapshot: Snapshot, reader: Reader) -> Iterator[str]:
    """What inspections have left open: items that are not put right, and failed ones that nothing else here names."""
    named = {f"{task['key']}#{need['key']}" for task in snapshot["tasks"] for need in task["requirements"]}
    for each in newest(snapshot):
        if each["result"] == "failed" and each["requirement"] not in named:
            yield f"{_called(each, reader)}: {result_words('failed')}"
    for row in item_rows(snapshot, reader):
        if row.open:
            yield f"{row.inspection}: {row.text} ({row.state})"


def newest(snapshot: Snapshot) -> list[Frozen]:
    """The last result of each inspection: the one that counts."""
    last = {each["requirement"]: each for each in snapshot.get("inspections", ())}
    return list(last.values())


def _called(inspection: Frozen, reader: Reader) -> str:
    return f"{reader.text(inspection['text'])} {inspection['number']}".strip()
