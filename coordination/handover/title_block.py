"""The head, the title block and the revision table of a gate report."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from coordination.gates.drawing import OPEN_HOISTWAY
from coordination.gates.sentences import party_words
from coordination.handover.reading import Reader, Snapshot, frozen_cause
from coordination.pictures.typeface import Weight, width_of
from coordination.projects.trade_words import in_words_of

# Points: a line of the strip on A4, 152 wide; words are measured a tenth wider than they are set.
STRIP = 168.0

# The facts that say which edition the authority has adopted, and how the document is cited.
EDITIONS = {
    "us": (
        ("code.elevator", "ASME A17.1/CSA B44"),
        ("code.electrical", "NFPA 70"),
        ("code.alarm", "NFPA 72"),
        ("code.building", "IBC"),
    ),
    "en": (
        ("code.elevator", ""),
        ("code.electrical", ""),
        ("code.alarm", ""),
        ("code.building", ""),
    ),
}


def head_words(snapshot: Snapshot, reader: Reader, *, paper: str, code: str) -> dict[str, Any]:
    gate, project = reader.text(snapshot["gate"]["text"]), snapshot["project"]["name"]
    code_set = snapshot["project"]["code_set"]
    place, supplier = snapshot["project"].get("place"), snapshot["project"].get("supplier_name", "")
    return {
        "language": reader.language[:2],
        "title": _("Gate report: %(gate)s") % {"gate": gate},
        "description": _("%(project)s, gate report %(code)s") % {"project": project, "code": code},
        "project": project,
        "gate": gate,
        "supplier": supplier,
        "paper": paper,
        "made_at": snapshot["gate"]["cleared_at"],
        "place": place or supplier,
        "code": code,
        "strip": in_strip(project, place or supplier, gate, snapshot["gate"]["round"]),
        "foot": _("approved drawing and local code govern"),
        "checked": _("Is it genuine, and does it still stand?"),
        "critical": in_words_of(code_set, _("{lift}-critical")),
        "lead": _(
            "What was checked at this gate, against which value, from which source, with which result."
        ),
        **limits(code_set),
    }


def in_strip(project: str, place: str, gate: str, number: int) -> dict[str, str]:
    """What stands in the strip at the foot of every sheet: one line each, with an ellipsis where it is too long."""
    revision = _("revision %(n)d") % {"n": number}
    left = STRIP - width_of(f", {revision}", 7.4)
    return {
        "project": shortened(project, STRIP, 8, "semibold"),
        "place": shortened(place, STRIP, 8, "semibold"),
        "gate": f"{shortened(gate, left, 7.4)}, {revision}",
    }


def shortened(words: str, width: float, size: float, weight: Weight = "regular") -> str:
    """The first of ``words`` that fit ``width``, with an ellipsis; all of them where they fit."""
    if width_of(words, size, weight) <= width:
        return words
    kept = words
    while kept and width_of(f"{kept}…", size, weight) > width:
        kept = kept[:-1]
    return f"{kept.rstrip(' ,;:')}…"


def limits(code_set: str) -> dict[str, str]:
    """What the paper is not: printed on its first page and beside its cautions."""
    record = _(
        "This is a record of what was handed in and decided. The approved revision of the {lift} maker's "
        "drawing and the local code govern; the authority having jurisdiction, the engineer of record and "
        "licensed trades decide. It is no permission to enter the {hoistway} or to energize anything."
    )
    return {
        "ready": _(
            "“Ready” means that what must come first is recorded. It is never permission to enter or to switch on. "
            "Local codes, the authority having jurisdiction and licensed trades decide."
        ),
        "limits": f"{in_words_of(code_set, record)} {in_words_of(code_set, OPEN_HOISTWAY)}",
    }


def title_block(snapshot: Snapshot, reader: Reader, code: str) -> list[tuple[str, str]]:
    """The short pairs of the title block: project, gate, revisions."""
    gate, plan, project = snapshot["gate"], snapshot["plan"], snapshot["project"]
    return [
        (_("Project"), project["name"]),
        (_("Place"), project.get("place") or _("not stated")),
        (_("Gate"), reader.text(gate["text"])),
        (_("Supplier"), project.get("supplier_name", "")),
        (_("Cleared"), reader.moment(gate["cleared_at"])),
        (_("Revision"), str(gate["round"])),
        (_("Maker's drawing"), plan.get("drawing_revision") or _("revision not stated")),
        (_("Plan"), _("revision %(n)d") % {"n": plan["revision"]}),
        (_("Unit number"), _stated(snapshot, "lift.unit_number") or _("not stated")),
    ]


def in_rows(pairs: Sequence[tuple[str, str]], across: int = 3) -> list[Sequence[tuple[str, str]]]:
    """So many pairs to a row of the title block."""
    return [pairs[place : place + across] for place in range(0, len(pairs), across)]


def long_pairs(snapshot: Snapshot, reader: Reader) -> list[tuple[str, str]]:
    """The pairs that need the whole width: permits with number and day, editions of the adopted codes."""
    return [
        (_("Permits"), "; ".join(_permits(snapshot, reader)) or _("none entered")),
        (_("Adopted codes"), "; ".join(_editions(snapshot)) or _("not stated")),
    ]


def _permits(snapshot: Snapshot, reader: Reader) -> list[str]:
    return [
        _("%(kind)s: %(permit)s of %(day)s")
        % {
            "kind": capfirst(party_words(item["kind"])),
            "permit": item["permit"],
            "day": reader.day(item.get("permit_on")) or _("no date given"),
        }
        for item in snapshot["authorities"]
        if item.get("permit")
    ]


def _editions(snapshot: Snapshot) -> list[str]:
    known = EDITIONS.get(snapshot["project"]["code_set"], EDITIONS["en"])
    found = ((label, _stated(snapshot, key)) for key, label in known)
    return [f"{label} {edition}".strip() for label, edition in found if edition]


def _stated(snapshot: Snapshot, key: str) -> str:
    value = next((fact["value"] for fact in snapshot["facts"] if fact["key"] == key), None)
    return "" if value is None else str(value)


def revisions(snapshot: Snapshot, reader: Reader) -> list[dict[str, str]]:
    """Each round of the gate up to this one, the newest first: its day, and why it was superseded."""
    gate = snapshot["gate"]
    own = {"number": str(gate["round"]), "day": reader.moment(gate["cleared_at"]), "why": ""}
    earlier = [_superseded(item, snapshot, reader) for item in snapshot.get("rounds", ())]
    return [own, *reversed(earlier)]


def _superseded(item: Mapping[str, Any], snapshot: Snapshot, reader: Reader) -> dict[str, str]:
    causes = [frozen_cause(cause, snapshot, reader) for cause in item.get("because", ())]
    why = _("reopened %(at)s") % {"at": reader.moment(item.get("reopened_at"))}
    return {
        "number": str(item["round"]),
        "day": reader.moment(item["cleared_at"]),
        "why": ": ".join(filter(None, (why, "; ".join(causes)))),
    }
