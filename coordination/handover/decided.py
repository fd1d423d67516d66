"""What was decided at a gate, for its report: conditions, permissions, signatures, the points that were watched."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _

from coordination.gates.sentences import party_words
from coordination.handover.reading import Reader, Snapshot, outcome_words


def condition_lines(snapshot: Snapshot, reader: Reader) -> list[dict[str, str]]:
    return [
        {"text": _condition(item, reader), "result": outcome_words(item["how"])}
        for item in snapshot["conditions"]
    ]


def _condition(item: Snapshot, reader: Reader) -> str:
    if item["kind"] == "signature":
        return _("Signature: %(role)s") % {"role": party_words(item["subject"])}
    text = reader.text(item.get("text")) or item["subject"]
    return _("Gate: %(gate)s") % {"gate": text} if item["kind"] == "gate cleared" else text


def concession_lines(snapshot: Snapshot, reader: Reader) -> list[str]:
    """Every concession that stands or stood, also those of earlier gates."""
    return [_concession(item, reader) for item in snapshot["concessions"]] + [
        _concession(item, reader) + " " + _("Ended %(at)s.") % {"at": reader.moment(item["ended_at"])}
        for item in snapshot.get("concessions_ended", ())
    ]


def _concession(item: Mapping[str, Any], reader: Reader) -> str:
    voices = "; ".join(
        f"{v['name']} ({party_words(v['role'])}), {reader.moment(v['at'])}" for v in item["voices"]
    )
    until = reader.day(item.get("expires_on")) or _("without end")
    return _(
        "%(kind)s on %(what)s: %(reason)s. Scope: %(scope)s. Until: %(until)s. Granted by %(voices)s."
    ) % {
        "kind": {"concession": _("Concession"), "deviation permit": _("Deviation permit")}[item["kind"]],
        "what": reader.text(item.get("text")) or item["requirement"],
        "reason": item["reason"].rstrip("."),
        "scope": item["scope"].rstrip("."),
        "until": until,
        "voices": voices,
    }


def signature_lines(snapshot: Snapshot, reader: Reader) -> list[dict[str, str]]:
    return [
        {**item, "role": party_words(item["role"]), "at": reader.moment(item["at"])}
        for item in snapshot["signatures"]
    ]
