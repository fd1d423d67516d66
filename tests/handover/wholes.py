"""Frozen sites written by hand: only what a test is about, everything else empty."""

from collections.abc import Mapping
from typing import Any
from zoneinfo import ZoneInfo

from coordination.handover.reading import Reader
from coordination.siteprep.lengths import parse_length

US = Reader("en-us", "us", ZoneInfo("America/New_York"))
AT = "2026-03-02T15:30:00+00:00"
FOOT = parse_length("1 ft")


def whole(*tasks: Mapping[str, Any], **more: Any) -> dict[str, Any]:
    return {
        "format": 1,
        "project": {
            "uid": "6f1d2c9a-51f4-4c5e-9a53-0d6b4f0c7e21",
            "name": "Harrow Lane",
            "place": "12 Harrow Lane",
            "zone": "America/New_York",
            "code_set": "us",
            "supplier": "6f1d2c9a-51f4-4c5e-9a53-0d6b4f0c7e22",
            "supplier_name": "Low Rise Lift Supply",
        },
        "as_of": {"at": AT, "seq": 7, "hash": "0" * 64},
        "plan": {"revision": 2, "catalogue_sha": "1" * 64, "drawing_revision": "C"},
        "units": "us",
        "facts": [],
        "drawing": None,
        "places": [place("pit", "pit", "Pit"), place("site", "site", "Site")],
        "quantities": [],
        "tasks": list(tasks),
        "states": {},
        "left_the_plan": [],
        "links": [],
        "gates": [],
        "reports": [],
        "questions": [],
        "concessions": [],
        "authorities": [],
        "companies": [{"trade": "lift", "name": "Larkspur Lifting", "phone": "802 555 0101"}],
        "people": [],
        "said": {},
        "cautions": [],
        **more,
    }


def place(
    key: str, kind: str, text: str, landing: str | None = None, side: str | None = None
) -> dict[str, Any]:
    return {"key": key, "kind": kind, "text": {"en": text}, "landing": landing, "side": side, "state": "done"}


def task(key: str, *needs: Mapping[str, Any], trade: str = "lift", text: str = "") -> dict[str, Any]:
    entry, _, where = key.partition("@")
    return {
        "key": key,
        "uid": "00000000-0000-0000-0000-000000000001",
        "entry": entry,
        "place": where,
        "trade": trade,
        "package": "finals",
        "company": "Larkspur Lifting" if trade == "lift" else "",
        "text": {"en": text or entry},
        "first_line": {},
        "state": "done",
        "provisional": False,
        "begun_on": None,
        "finished_on": None,
        "cautions": [],
        "requirements": list(needs),
        "handoffs": [],
        "designs": [],
    }


def need(key: str, *evidence: Mapping[str, Any], **more: Any) -> dict[str, Any]:
    """A document that was accepted where it has evidence, else one that was not handed in."""
    return {
        "key": key,
        "uid": "00000000-0000-0000-0000-000000000002",
        "kind": "document",
        "text": {"en": key},
        "unit": "",
        "low": None,
        "high": None,
        "nominal": None,
        "source": {},
        "terms_sha": "",
        "lift_critical": False,
        "release": None,
        "accepts": "contractor",
        "outcome": "accepted" if evidence else "none",
        "how": "accepted" if evidence else "none",
        "evidence": list(evidence),
        "earlier": [],
        **more,
    }


def item(sha: str = "ab" * 32, **more: Any) -> dict[str, Any]:
    """A picture that was handed in and not looked at."""
    return {
        "uid": "00000000-0000-0000-0000-000000000003",
        "sha256": sha,
        "size": 1000,
        "media_type": "image/jpeg",
        "file_name": "left.jpg",
        "rendition": {"sha256": "cd" * 32, "width": 400, "height": 300},
        "value": None,
        "typed": "",
        "unit": "",
        "in_tolerance": None,
        "instrument": "",
        "number": "",
        "dated": None,
        "note": "",
        "taken_at": AT,
        "received_at": AT,
        "sender": "Bo Tran",
        "entered_for": "",
        "entry_source": "",
        "review": None,
        **more,
    }


def said(state: str, words: str, **more: Any) -> dict[str, Any]:
    told = {"state": state, "words": words, "day": None, "file_name": "", "sha256": None, "size": None}
    return {**told, "media_type": None, "name": "Ida Marsh", "at": AT, **more}


def fact(key: str, value: Any) -> dict[str, Any]:
    return {"key": key, "text": {}, "state": "known", "value": value, "typed": str(value), "said_by": "",
            "source": "", "said_on": None}  # fmt: skip
