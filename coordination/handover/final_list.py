"""The final list judged against a frozen site: each item present, not needed, or missing by name with who owes it."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.gates.sentences import party_words, trade_words
from coordination.handover.behind_walls import walls
from coordination.handover.frozen_facts import FrozenFacts
from coordination.handover.reading import Reader, Snapshot, source_words
from coordination.handover.whole import Whole
from coordination.siteprep.handover_items import HandoverItem, handover_list
from coordination.siteprep.wording import fill

State = Literal["present", "not needed", "missing"]
SHOWN = frozenset({"accepted", "done", "released"})


@dataclass(frozen=True)
class Proof:
    """One thing that shows an item: in words, the file behind it where there is one, and the evidence it came as."""

    words: str
    sha256: str = ""
    is_picture: bool = False
    item: Snapshot | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class FinalLine:
    """One item as it stands. ``why`` says why it is not needed; ``owed`` names each missing thing with who owes it."""

    key: str
    text: str
    state: State
    proofs: tuple[Proof, ...]
    why: str
    owed: tuple[str, ...]
    source: str
    day: str
    day_of: str
    said: str
    asks: str
    asks_day: str

    @property
    def state_words(self) -> str:
        return state_words(self.state)


@dataclass(frozen=True)
class FinalSection:
    """A part of the list with its lines."""

    key: str
    text: str
    lines: tuple[FinalLine, ...]


def state_words(state: str) -> str:
    return {"present": _("present"), "not needed": _("not needed"), "missing": _("missing")}[state]


def final_list(whole: Whole, reader: Reader) -> tuple[FinalSection, ...]:
    """The whole list, in the order of the catalogue."""
    expected, judge = handover_list(), _Judge(whole, reader)
    return tuple(
        FinalSection(
            section.key,
            judge.words(section.text),
            tuple(judge.line(item) for item in expected.of(section)),
        )
        for section in expected.sections
    )


def counted(sections: Iterable[FinalSection]) -> dict[State, int]:
    """How many lines are in each state."""
    lines = [line for section in sections for line in section.lines]
    states: tuple[State, ...] = ("present", "missing", "not needed")
    return {state: sum(line.state == state for line in lines) for state in states}


class _Judge:
    """Judges items of one frozen site."""

    def __init__(self, whole: Whole, reader: Reader) -> None:
        self.whole, self.reader = whole, reader
        self.facts = FrozenFacts(whole)
        self.companies = {each["trade"]: each["name"] for each in whole["companies"]}

    def words(self, text: Mapping[str, str]) -> str:
        return self.reader.text(fill(text, self.whole["project"]["code_set"])) if text else ""

    def line(self, item: HandoverItem) -> FinalLine:
        said = self.whole["said"].get(item.key)
        state, proofs, why, owed = self._judged(item, said)
        shown_day = self.reader.day(said["day"]) if said and said["day"] and state == "present" else ""
        return FinalLine(
            key=item.key,
            text=self.words(item.text),
            state=state,
            proofs=proofs,
            why=why,
            owed=owed,
            source=source_words(vars(item.source), self.reader),
            day=shown_day,
            day_of=self.words(item.day),
            said=said["words"] if said else "",
            asks=self.words(item.said),
            asks_day=self.words(item.day),
        )

    def _judged(
        self, item: HandoverItem, said: Snapshot | None
    ) -> tuple[State, tuple[Proof, ...], str, tuple[str, ...]]:
        if item.needed(self.facts).value is False:
            return "not needed", (), self.words(item.otherwise), ()
        if item.list:
            return self._listed(item)
        asked = list(self._asked(item))
        if not asked and said and said["state"] == "not needed":
            return "not needed", (), self._by(said), ()
        proofs = [proof for task, need in asked for proof in self._proofs(task, need)]
        owed = [self._owed(task, need) for task, need in asked if need["how"] not in SHOWN]
        if said and said["state"] == "present":
            proofs.append(self._word(said))
        if missing := self._unsaid(item, said, bool(asked)):
            owed.append(missing)
        if owed:
            return "missing", tuple(proofs), "", tuple(owed)
        if not proofs:
            return "not needed", (), _("The plan of this site does not ask for it."), ()
        return "present", tuple(proofs), "", ()

    def _asked(self, item: HandoverItem) -> Iterator[tuple[Snapshot, Snapshot]]:
        """The requirements of the plan that fill it, at every place."""
        wanted = set(item.shown_by)
        for task in self.whole["tasks"]:
            for need in task["requirements"]:
                if (task["entry"], need["key"]) in wanted or (task["entry"], "*") in wanted:
                    yield task, need

    def _unsaid(self, item: HandoverItem, said: Snapshot | None, asked: bool) -> str:
        """What somebody still has to write down; a day always, other words only where no requirement shows it."""
        spoken = bool(said) and said is not None and said["state"] == "present"
        lacks_day = bool(item.day) and not (spoken and said and said["day"])
        if not lacks_day and (spoken or asked or not item.said):
            return ""
        what = self.words(item.day) if lacks_day and (spoken or asked) else self.words(item.said)
        told = {"what": what, "who": self._company(item.owes)}
        return _("not written down yet: %(what)s; %(who)s") % told

    def _word(self, said: Snapshot) -> Proof:
        picture = (said["media_type"] or "").startswith("image/")
        return Proof(self._by(said), said["sha256"] or "", picture)

    def _by(self, said: Snapshot) -> str:
        return _("%(words)s (says %(name)s, %(day)s)") % {
            "words": said["words"].rstrip("."),
            "name": said["name"],
            "day": self.reader.day(said["at"]),
        }

    def _proofs(self, task: Snapshot, need: Snapshot) -> Iterator[Proof]:
        if need["how"] not in SHOWN:
            return
        place = self._place(task)
        for item in need["evidence"]:
            if item["review"] and item["review"]["outcome"] == "refused":
                continue
            picture = str(item["media_type"] or "").startswith("image/")
            yield Proof(self._evidence(need, item, place), item["sha256"] or "", picture, item)

    def _evidence(self, need: Snapshot, item: Snapshot, place: str) -> str:
        parts = [self.reader.text(need["text"]), place]
        if item["number"]:
            dated = self.reader.day(item["dated"])
            parts.append(_("No. %(number)s of %(day)s") % {"number": item["number"], "day": dated})
        elif need["kind"] == "reading":
            parts.append(self.reader.value(item["value"], need["unit"]))
        elif need["kind"] == "signature":
            parts.append(_("signed by %(name)s") % {"name": item["typed"]})
        if item["review"]:
            by = {"name": item["review"]["reviewer"], "day": self.reader.day(item["review"]["at"])}
            parts.append(_("accepted by %(name)s, %(day)s") % by)
        elif not item["number"]:
            parts.append(self.reader.day(item["received_at"]))
        return ", ".join(filter(None, parts))

    def _place(self, task: Snapshot) -> str:
        """Where it is, where the same work is done at several places."""
        same = [each for each in self.whole["tasks"] if each["entry"] == task["entry"]]
        if len(same) < 2:
            return ""
        return next(
            (self.reader.text(each["text"]) for each in self.whole["places"] if each["key"] == task["place"]),
            "",
        )

    def _owed(self, task: Snapshot, need: Snapshot) -> str:
        what = ", ".join(filter(None, [self.reader.text(need["text"]), self._place(task)]))
        if need["how"] == "conceded":
            return _("%(what)s: let go by concession, see there") % {"what": what}
        if need["how"] == "varied":
            return _("%(what)s: let go by an authority’s variance, see there") % {"what": what}
        who = party_words(need["release"]) if need["release"] else self._company(task["trade"])
        how = {"handed in": _("handed in, not reviewed yet"), "refused": _("refused")}.get(
            need["outcome"], ""
        )
        return "; ".join(filter(None, [what, how, who]))

    def _company(self, trade: str) -> str:
        return self.companies.get(trade) or trade_words(trade)

    def _listed(self, item: HandoverItem) -> tuple[State, tuple[Proof, ...], str, tuple[str, ...]]:
        """An item that is a list of its own, further down in the folder."""
        found = {
            "behind walls": self._behind_walls,
            "contacts": self._contacts,
            "concessions": self._concessions,
            "reports": self._reports,
        }[item.list]()
        if found:
            return "present", (Proof(found),), "", ()
        if item.list == "concessions":
            return "not needed", (), _("None stands."), ()
        who = {"what": capfirst(self.words(item.text)), "who": self._company(item.owes)}
        return "missing", (), "", (_("%(what)s: nothing yet; %(who)s") % who,)

    def _behind_walls(self) -> str:
        number = sum(len(wall.photos) for wall in walls(self.whole, self.reader))
        return ngettext("%(n)d photo", "%(n)d photos", number) % {"n": number} if number else ""

    def _contacts(self) -> str:
        number = len(self.whole["companies"])
        return ngettext("%(n)d trade named", "%(n)d trades named", number) % {"n": number} if number else ""

    def _concessions(self) -> str:
        number = len(self.whole["concessions"])
        return ngettext("%(n)d stands", "%(n)d stand", number) % {"n": number} if number else ""

    def _reports(self) -> str:
        codes = [report["code"] for report in self.whole["reports"] if not report["superseded"]]
        return ", ".join(codes)
