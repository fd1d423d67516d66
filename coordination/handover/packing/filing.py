"""What was handed in on a site, filed by place: each file once, under one name, whatever it serves."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from coordination.handover.evidence_lines import state_of
from coordination.handover.let_go import variance_words, what_words
from coordination.handover.numbered import variances
from coordination.handover.packing.names import ending_of, piece_name
from coordination.handover.reading import Reader, Snapshot
from coordination.handover.whole import Whole

LEFT_THE_PLAN = "left-the-plan"
SAID = "written-down"
VARIANCES = "variances"


@dataclass(frozen=True)
class Handed:
    """One thing that was handed in: for which work, for what, how it stands, and its file where it has one."""

    place: str
    entry: str
    view: str
    work: str
    what: str
    kind: str
    state: str
    item: Mapping[str, Any]

    @property
    def sha256(self) -> str:
        return self.item.get("sha256") or ""

    @property
    def copy(self) -> str:
        """SHA-256 of the photo's copy; empty where it has none, or is no photo."""
        rendition = self.item.get("rendition")
        return rendition["sha256"] if rendition else ""

    @property
    def media_type(self) -> str:
        return self.item.get("media_type") or ""

    @property
    def is_own_paper(self) -> bool:
        """A calculation that was made here: it knows of no camera."""
        return "calculation" in self.item

    @property
    def is_picture(self) -> bool:
        return self.media_type.startswith("image/")

    @property
    def is_copied_when_packed(self) -> bool:
        """A picture that is no evidence: no copy of it was made before."""
        return self.is_picture and "rendition" not in self.item


@dataclass(frozen=True)
class Filed:
    """A file with its two names below a folder: as the original, and as the copy of a photo."""

    handed: Handed
    original: str
    copy: str


def handed_in(whole: Whole, reader: Reader) -> Iterator[Handed]:
    """Everything place by place, then variances, what was written down for the final list, and what left the plan."""
    for place in whole["places"]:
        for task in whole["tasks"]:
            if task["place"] == place["key"]:
                yield from _of_task(task, reader)
    yield from _variances(whole, reader)
    for key, word in whole["said"].items():
        if word["sha256"]:
            yield Handed(
                SAID, key, "", key, word["words"], "document", "done", word | {"received_at": word["at"]}
            )
    for item in whole["left_the_plan"]:
        state = "withdrawn" if item["withdrawn_at"] else "earlier"
        work, what = reader.text(item["task_text"]), reader.text(item["text"])
        yield Handed(LEFT_THE_PLAN, item["entry"], item["key"], work, what, item["kind"], state, item)


def filed(whole: Whole, reader: Reader) -> list[Filed]:
    """Each file once, numbered through within its place; the same bytes for several things go by the first."""
    found: dict[str, Filed] = {}
    numbers: dict[str, int] = {}
    zone = ZoneInfo(whole["project"]["zone"])
    for handed in handed_in(whole, reader):
        if handed.sha256 and handed.sha256 not in found:
            numbers[handed.place] = number = numbers.get(handed.place, 0) + 1
            parts = (handed.entry, _day(handed.item, zone), handed.view)
            original = piece_name(handed.place, number, *parts, ending=ending_of(handed.media_type))
            copy = piece_name(handed.place, number, *parts, ending="jpg")
            found[handed.sha256] = Filed(handed, original, copy)
    return list(found.values())


def _variances(whole: Whole, reader: Reader) -> Iterator[Handed]:
    """The documents by which authorities let go; one frozen before its kind of file was known counts as a picture."""
    for granted, scan in variances(whole):
        task, _hash, need = granted["requirement"].partition("#")
        yield Handed(
            place=VARIANCES,
            entry=task.partition("@")[0],
            view=need,
            work=reader.text(granted.get("work")),
            what=f"{variance_words(granted['variance'], reader)}: {what_words(granted, reader)}",
            kind="document",
            state="withdrawn" if "ended_at" in granted else "done",
            item={
                **scan,
                "media_type": scan["media_type"] or "image/jpeg",
                "sender": granted["voices"][0]["name"],
            },
        )


def _of_task(task: Snapshot, reader: Reader) -> Iterator[Handed]:
    work = reader.text(task["text"])
    for need in task["requirements"]:
        for item in (*need["evidence"], *need["earlier"]):
            yield Handed(
                place=task["place"],
                entry=task["entry"],
                view=need["key"],
                work=work,
                what=reader.text(need["text"]),
                kind=need["kind"],
                state=state_of(need, item),
                item=item,
            )
    for design in task["designs"]:
        told = {**design, "received_at": design["at"]}
        name = design["calculation"]
        yield Handed(task["place"], task["entry"], name, work, design["file_name"], "document", "done", told)


def _day(item: Mapping[str, Any], zone: ZoneInfo) -> str:
    """The day on which it was taken, else received, on the site's own calendar."""
    moment = item.get("taken_at") or item.get("received_at")
    return datetime.fromisoformat(moment).astimezone(zone).date().isoformat() if moment else ""
