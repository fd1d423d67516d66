"""The final handover in words: the list, days to keep, contacts, concessions, reports; for paper and folder alike."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from coordination.gates.sentences import party_words, trade_words
from coordination.handover.behind_walls import Wall, walls
from coordination.handover.due_dates import Due, due_dates
from coordination.handover.final_list import FinalLine, FinalSection, counted, final_list
from coordination.handover.inspected import InspectionRow, ItemRow, inspection_rows, item_rows
from coordination.handover.let_go import LetGo, let_go
from coordination.handover.reading import Reader, Snapshot
from coordination.handover.sheet_paper import head_of, reader_of, sheet_order, stood_at
from coordination.handover.whole import Whole
from coordination.handover.witnessed import WitnessRow, witness_rows
from coordination.paper import Order
from coordination.projects.trade_words import in_spoken_words

# Items that tell where to shut off, lock off, and who has the keys: shown with their photos in a part of their own.
SHUT_OFFS = ("main-disconnect", "light-disconnect", "battery", "oil-shut-off", "pit-stop", "sump", "keys")
CODES = {
    "code.elevator": "ASME A17.1/CSA B44",
    "code.electrical": "NFPA 70",
    "code.alarm": "NFPA 72",
    "code.building": "IBC",
}


@dataclass(frozen=True)
class Contact:
    """Whoever did something, or stands for something: role or trade, name, telephone."""

    what: str
    name: str
    phone: str


@dataclass
class FinalWords:
    """One frozen site in one language. Whoever uses it speaks the language and the words of the site."""

    whole: Whole
    reader: Reader

    @cached_property
    def sections(self) -> tuple[FinalSection, ...]:
        return final_list(self.whole, self.reader)

    @cached_property
    def counts(self) -> list[tuple[str, int]]:
        found = counted(self.sections)
        return [
            (_("present"), found["present"]),
            (_("missing"), found["missing"]),
            (_("not needed"), found["not needed"]),
        ]

    @property
    def lines(self) -> dict[str, FinalLine]:
        return {line.key: line for section in self.sections for line in section.lines}

    @property
    def missing(self) -> list[FinalLine]:
        return [line for line in self.lines.values() if line.state == "missing"]

    @property
    def shut_offs(self) -> list[FinalLine]:
        lines = self.lines
        return [lines[key] for key in SHUT_OFFS if key in lines and lines[key].state != "not needed"]

    @cached_property
    def walls(self) -> tuple[Wall, ...]:
        return walls(self.whole, self.reader)

    @property
    def days(self) -> list[tuple[str, Due]]:
        due = due_dates(self.whole, self.sections, self.reader)
        return [(self.reader.day(each.on.isoformat()), each) for each in due]

    @property
    def contacts(self) -> list[Contact]:
        trades = [
            Contact(capfirst(trade_words(each["trade"])), each["name"], each["phone"])
            for each in self.whole["companies"]
        ]
        people = [
            Contact(self._role(each), f"{each['name']}, {each['company']}", each["phone"])
            for each in self.whole["people"]
        ]
        return [*people, *trades]

    @property
    def authorities(self) -> list[tuple[str, str, str]]:
        """Kind, name and permit of each that is known."""
        return [
            (capfirst(party_words(each["kind"])), each["name"], self._permit(each))
            for each in self.whole["authorities"]
            if each["name"] or each["permit"]
        ]

    @cached_property
    def let_go(self) -> list[LetGo]:
        """Every concession, those that have ended, too."""
        return let_go(self.whole, self.reader, {})

    @property
    def inspections(self) -> list[InspectionRow]:
        return inspection_rows(self.whole, self.reader, {})

    @property
    def items(self) -> list[ItemRow]:
        return item_rows(self.whole, self.reader)

    @property
    def witness_points(self) -> list[WitnessRow]:
        return witness_rows(self.whole, self.reader)

    @property
    def reports(self) -> list[Snapshot]:
        """Papers of cleared gates, with their words."""
        return [
            {
                **each,
                "name": self.reader.text(each["text"]),
                "cleared": self.reader.moment(each["cleared_at"]),
                "stands": _("superseded") if each["superseded"] else _("stands"),
            }
            for each in self.whole["reports"]
        ]

    @property
    def gates(self) -> list[tuple[str, str]]:
        """Each gate with when it was cleared."""
        return [
            (
                self.reader.text(each["text"]),
                _("cleared %(when)s") % {"when": self.reader.moment(each["cleared_at"])}
                if each["cleared_at"]
                else _("not cleared"),
            )
            for each in self.whole["gates"]
        ]

    @property
    def codes(self) -> str:
        facts = {fact["key"]: fact["value"] for fact in self.whole["facts"]}
        found = [f"{name} {facts[key]}" for key, name in CODES.items() if facts.get(key) is not None]
        return "; ".join(found) or _("not stated")

    @property
    def cautions(self) -> list[str]:
        return [self.reader.text(each["text"]) for each in self.whole["cautions"]]

    @property
    def not_ours_to_say(self) -> str:
        return in_spoken_words(
            _(
                "This list says what was handed in and written down, and what is missing. The authority's own "
                "documents decide whether the {lift} may run."
            )
        )

    def _role(self, person: Snapshot) -> str:
        role = capfirst(party_words(person["role"]))
        return _("%(role)s (deputy)") % {"role": role} if person["deputy"] else role

    def _permit(self, authority: Snapshot) -> str:
        if not authority["permit"]:
            return ""
        told = {"permit": authority["permit"], "day": self.reader.day(authority["permit_on"])}
        return _("permit %(permit)s of %(day)s") % told if told["day"] else _("permit %(permit)s") % told


def final_order(whole: Whole, *, language: str, paper: str) -> Order:
    """The final list as a paper. Whoever calls speaks the language and the words of the site."""
    reader = reader_of(whole, language)
    title = _("Final handover: what is there, what is missing")
    context: dict[str, Any] = {
        "head": head_of(whole, reader, title),
        "final": FinalWords(whole, reader),
        "size": paper,
    }
    return sheet_order(
        "paper/final_list.html", context, {}, title=title, language=language, made_at=stood_at(whole)
    )
