"""The head and the title block of a gate report: which site, which gate, which revisions and permits."""

from collections.abc import Sequence

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from coordination.gates.drawing import OPEN_HOISTWAY
from coordination.gates.sentences import party_words
from coordination.handover.reading import Reader, Snapshot
from coordination.projects.trade_words import in_words_of


def head_words(snapshot: Snapshot, reader: Reader, *, paper: str, code: str) -> dict[str, str]:
    gate, project = reader.text(snapshot["gate"]["text"]), snapshot["project"]["name"]
    code_set = snapshot["project"]["code_set"]
    return {
        "language": reader.language[:2],
        "title": _("Gate report: %(gate)s") % {"gate": gate},
        "description": _("%(project)s, gate report %(code)s") % {"project": project, "code": code},
        "project": project,
        "gate": gate,
        "supplier": snapshot["project"].get("supplier_name", ""),
        "paper": paper,
        "made_at": snapshot["gate"]["cleared_at"],
        "place": snapshot["project"].get("place") or snapshot["project"].get("supplier_name", ""),
        "code": code,
        "foot": _("approved drawing and local code govern"),
        "critical": in_words_of(code_set, _("{lift}-critical")),
        "ready": _(
            "“Ready” means that what must come first is recorded. It is never permission to enter or to switch on. "
            "Local codes, the authority having jurisdiction and licensed trades decide."
        ),
        "lead": _(
            "What was checked at this gate, against which value, from which source, with which result."
        ),
        "limits": in_words_of(
            code_set,
            _(
                "This is a record of what was handed in and decided. The approved revision of the {lift} maker's "
                "drawing and the local code govern; the authority having jurisdiction, the engineer of record and "
                "licensed trades decide. It is no permission to enter the {hoistway} or to energize anything."
            ),
        )
        + " "
        + in_words_of(code_set, OPEN_HOISTWAY),
    }


def title_block(snapshot: Snapshot, reader: Reader, code: str) -> list[tuple[str, str]]:
    """Project, gate, revisions, permits and codes: the pairs of the title block."""
    gate, plan = snapshot["gate"], snapshot["plan"]
    facts = {fact["key"]: fact for fact in snapshot["facts"]}
    codes = [
        f"{label} {facts[key]['value']}"
        for key, label in (
            ("code.elevator", "ASME A17.1/CSA B44"),
            ("code.electrical", "NFPA 70"),
            ("code.alarm", "NFPA 72"),
            ("code.building", "IBC"),
        )
        if facts.get(key, {}).get("value") is not None
    ]
    permits = [
        _("%(kind)s: %(permit)s of %(day)s")
        % {
            "kind": capfirst(party_words(item["kind"])),
            "permit": item["permit"],
            "day": reader.day(item.get("permit_on")) or _("no date given"),
        }
        for item in snapshot["authorities"]
        if item.get("permit")
    ]
    return [
        (_("Project"), snapshot["project"]["name"]),
        (_("Place"), snapshot["project"].get("place") or _("not stated")),
        (_("Supplier"), snapshot["project"].get("supplier_name", "")),
        (
            _("Gate"),
            _("%(gate)s, round %(round)d") % {"gate": reader.text(gate["text"]), "round": gate["round"]},
        ),
        (_("Cleared"), reader.moment(gate["cleared_at"])),
        (_("Maker's drawing"), plan.get("drawing_revision") or _("revision not stated")),
        (_("Plan"), _("revision %(n)d") % {"n": plan["revision"]}),
        (_("Permits"), "; ".join(permits) or _("none entered")),
        (_("Adopted codes"), "; ".join(codes) or _("not stated")),
        (_("Report code"), code),
    ]


def in_rows(pairs: Sequence[tuple[str, str]]) -> list[Sequence[tuple[str, str]]]:
    """Two pairs to a row of the title block."""
    return [pairs[place : place + 2] for place in range(0, len(pairs), 2)]
