"""What was decided at a gate, for its report: conditions and signatures."""

from django.utils.translation import gettext as _

from coordination.gates.sentences import party_words
from coordination.gates.signed_words import statement_words
from coordination.handover.places_read import place_words
from coordination.handover.reading import Reader, Snapshot, outcome_words


def condition_lines(snapshot: Snapshot, reader: Reader) -> list[dict[str, str]]:
    return [
        {
            "text": _condition(item, reader),
            "place": place_words(snapshot, item["subject"], reader) if "@" in item["subject"] else "",
            "result": outcome_words(item["how"]),
        }
        for item in snapshot["conditions"]
    ]


def _condition(item: Snapshot, reader: Reader) -> str:
    if item["kind"] == "signature":
        return _("Signature: %(role)s") % {"role": party_words(item["subject"])}
    text = reader.text(item.get("text")) or item["subject"]
    return _("Gate: %(gate)s") % {"gate": text} if item["kind"] == "gate cleared" else text


def signature_lines(snapshot: Snapshot, reader: Reader) -> list[dict[str, str]]:
    return [
        {
            **item,
            "statement": statement_words(item["statement"]),
            "role": party_words(item["role"]),
            "at": reader.moment(item["at"]),
        }
        for item in snapshot["signatures"]
    ]
