"""The summary of a gate report: what is present, missing and open, by which conditions and whose signatures."""

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.gates.sentences import party_words
from coordination.handover.reading import Reader, Snapshot, outcome_words


def counts(snapshot: Snapshot) -> list[str]:
    """One-line sums for the summary: what is present, conceded, released."""
    requirements = [item for task in snapshot["tasks"] for item in task["requirements"]]
    conceded = sum(item.get("how") == "conceded" for item in requirements)
    released = sum(item.get("how") == "released" for item in requirements)
    missing = sum(item["outcome"] == "none" and item.get("how") != "conceded" for item in requirements)
    total, tasks = len(requirements), len(snapshot["tasks"])
    return [
        ngettext("%(n)d task belongs to this gate.", "%(n)d tasks belong to this gate.", tasks)
        % {"n": tasks},
        ngettext("%(n)d thing was asked for.", "%(n)d things were asked for.", total) % {"n": total},
        _("%(n)d by concession, %(released)d released by an authority's document, %(missing)d not handed in.")
        % {"n": conceded, "released": released, "missing": missing},
    ]


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
    """Every concession that stands, also those of earlier gates."""
    lines = []
    for item in snapshot["concessions"]:
        voices = "; ".join(
            f"{v['name']} ({party_words(v['role'])}), {reader.moment(v['at'])}" for v in item["voices"]
        )
        until = reader.day(item.get("expires_on")) or _("without end")
        lines.append(
            _("%(kind)s on %(what)s: %(reason)s. Scope: %(scope)s. Until: %(until)s. Granted by %(voices)s.")
            % {
                "kind": {"concession": _("Concession"), "deviation permit": _("Deviation permit")}[
                    item["kind"]
                ],
                "what": reader.text(item.get("text")) or item["requirement"],
                "reason": item["reason"].rstrip("."),
                "scope": item["scope"].rstrip("."),
                "until": until,
                "voices": voices,
            }
        )
    return lines


def open_lines(snapshot: Snapshot, reader: Reader) -> list[str]:
    """Facts that were only assumed or not known when the gate cleared."""
    words = {"assumed": _("assumed"), "unknown": _("not known")}
    return [
        f"{reader.text(fact.get('text')) or fact['key']}: {words[fact['state']]}"
        + (f", {fact['typed']}" if fact.get("typed") else "")
        for fact in snapshot["facts"]
        if fact["state"] in words
    ]


def signature_lines(snapshot: Snapshot, reader: Reader) -> list[dict[str, str]]:
    return [
        {**item, "role": party_words(item["role"]), "at": reader.moment(item["at"])}
        for item in snapshot["signatures"]
    ]
