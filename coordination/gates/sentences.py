"""Sentences for what is missing, for states, for causes and for refusals.

A missing thing reads like: left backing photo refused yesterday, Copper Creek Framing, 555-0142.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import get_language, pgettext_lazy
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from coordination.evidence.sentences import SENTENCES as OF_EVIDENCE
from coordination.gates.hold_sentences import SENTENCES as OF_HOLDS
from coordination.gates.holding import Holding
from coordination.gates.scene import Scene
from coordination.projects.models import Gate, Requirement, Task
from coordination.projects.sentences import SENTENCES as OF_PROJECTS
from coordination.projects.shared_names import in_place
from coordination.projects.trade_words import spoken
from coordination.readiness import Missing

Words = Mapping[str, str | Promise]

STATES: Words = {
    "held": _("held"),
    "ready": _("ready to start"),
    "at work": _("at work"),
    "offered": _("offered"),
    "refused": _("refused"),
    "accepted": _("accepted"),
    "done": _("done"),
}
GATE_STATES: Words = {
    "held": _("held"),
    "ready to clear": _("ready to clear"),
    "cleared": _("cleared"),
}
OUTCOMES: Words = {
    "none": _("not handed in"),
    "handed in": _("handed in, not reviewed yet"),
    "accepted": _("accepted"),
    "refused": _("refused"),
    "failed": _("inspected, not passed"),
}
PARTIES: Words = {
    "coordinator": spoken(_("{lift} coordinator")),
    "contractor": _("general contractor"),
    "subcontractor": _("subcontractor"),
    "lift crew": spoken(_("{lift} crew")),
    "owner": _("owner"),
    "inspector": _("inspector"),
    "elevator": spoken(_("{lift} authority")),
    "building": _("building department"),
    "electrical": _("electrical authority"),
    "fire": _("fire authority"),
    "plumbing": _("plumbing authority"),
    "engineer": _("engineer of record"),
}
TRADES: Words = {
    "concrete": _("concrete"),
    "framing": _("framing"),
    "electrical": _("electrical"),
    "fire alarm": _("fire alarm"),
    "sprinkler": _("sprinkler"),
    "plumbing": _("plumbing"),
    "drywall": _("drywall"),
    "door hardware": _("door hardware"),
    "flooring": _("flooring"),
    "mechanical": _("mechanical"),
    "lift": spoken(pgettext_lazy("trade", "{lift}")),
    "general contractor": _("general contractor"),
    "building official": _("building official"),
}
MISSING: Words = {
    "not in the plan": _("%(subject)s is not in the plan"),
    "not begun": _("%(task)s has not begun"),
    "not finished": _("%(task)s is not finished"),
    "lag running": _("the waiting time after %(task)s still runs"),
    "not handed in": _("%(requirement)s (%(task)s) not handed in"),
    "not reviewed": _("%(requirement)s (%(task)s) handed in %(when)s, not reviewed yet"),
    "refused": _("%(requirement)s (%(task)s) refused %(when)s"),
    "out of tolerance": _("%(requirement)s (%(task)s) out of tolerance"),
    "authority document missing": _("%(requirement)s (%(task)s): the authority's own document is missing"),
    "inspection failed": _("%(requirement)s (%(task)s): not passed %(when)s"),
    "handoff not offered": _("%(task)s not offered to %(receiver)s"),
    "handoff not answered": _("%(task)s offered %(when)s, not answered by %(receiver)s"),
    "handoff refused": _("%(task)s refused by %(receiver)s %(when)s"),
    "gate not cleared": _("gate not cleared: %(gate)s"),
    "question open": _("question open: %(fact)s"),
    "fact only assumed": _("only assumed, not known: %(fact)s"),
    "document missing": _("document missing: %(subject)s"),
    "plan not settled": _("facts changed, plan not settled"),
    "signature missing": _("signature missing: %(party)s"),
    "signature for another standing": _(
        "%(party)s signed before something this gate reads had changed: sign again"
    ),
}
CAUSES: Words = {
    "evidence withdrawn": _("what was handed in for “%(what)s” was withdrawn"),
    "evidence refused": _("what was handed in for “%(what)s” was refused"),
    "handoff refused": _("the acceptance of “%(what)s” was taken back"),
    "inspection failed": _("the inspection “%(what)s” was not passed"),
    "inspection passed": _("the inspection “%(what)s” asks for corrections"),
    "concession ended": _("the concession on “%(what)s” was taken back"),
    "concession lapsed": _("the concession on “%(what)s” ran out"),
    "variance attached": _("an authority’s variance lets “%(what)s” go"),
    "plan accepted": _("a change of plan was accepted"),
}
REASONS: Words = {
    **OF_HOLDS,
    **OF_PROJECTS,
    **OF_EVIDENCE,
    "left the plan": _("%(subject)s does not belong to the plan any more."),
    "a gate is cleared": _("A gate is signed and cleared; it is not started or offered."),
    "say why refused": _("Say why it is refused: the trade needs to know what to put right."),
    "say why withdrawn": _("Say why it is withdrawn."),
    "say why ended": _("Say why the concession is taken back."),
    "say what is signed": _("Say what you sign for."),
    "statement moved on": _(
        "Something on this page has changed since you opened it: read it again, then sign."
    ),
    "no statement signed": _("The general contractor has not signed the site-ready statement for this day."),
    "statement does not count": _(
        "The signed site-ready statement does not count any more: it is signed again."
    ),
    "nothing handed in": _("Nothing was handed in for %(subject)s."),
    "not accepted yet": _("%(subject)s is not accepted; there is nothing to take back."),
    "reviewed already": _("%(name)s reviewed %(subject)s already: %(outcome)s."),
    "out of tolerance": _(
        "%(subject)s is out of tolerance. Refuse it, or let those named grant a concession."
    ),
    "own work": spoken(_("%(name)s entered this {lift}-critical work; somebody else must judge it.")),
    "answered already": _("%(name)s answered already: %(outcome)s."),
    "offer ended": _("This offer (round %(round)s) has ended. Open the task again."),
    "say why in their place": _("Say why you accept in the place of who has not answered."),
    "answer time runs": _("The answer time still runs: only the receiver itself answers now."),
    "only the receiver: lift-critical": spoken(
        _("This is {lift}-critical work: only the receiver itself takes it over. Call them.")
    ),
    "only the receiver: no concession": _(
        "Something that this work must show has no concession, so only the receiver itself takes it over. Call them."
    ),
    "own offer": _("%(name)s passed this work on; somebody else must take it over."),
    "answer it yourself": _("You are the receiver: answer for yourself."),
    "only the authority releases": _(
        "There is no concession for %(subject)s: only the authority's own document releases it."
    ),
    "nobody may concede": _("There is no concession for %(subject)s."),
    "nothing to concede": _("%(subject)s is satisfied; there is nothing to concede."),
    "say why conceded": _("Give the reason for going on without %(subject)s."),
    "say the scope": _("Say for what part of the work the concession holds."),
    "wrong kind": _(
        "Before the work begins it is a deviation permit, afterwards a concession; here: %(right)s."
    ),
    "expired before it began": _("%(day)s is over already."),
    "another concession stands": _("Another concession stands for %(subject)s, with the scope: %(scope)s."),
    "role has spoken": _("Somebody has spoken for this role already; one person speaks for one role."),
}


@dataclass(frozen=True)
class Names:
    """The words for keys, in the reader's language, on one project."""

    holding: Holding

    def task(self, key: str) -> str:
        """With its place in front where other work of the plan has the same name."""
        row = self.holding.task_by_key.get(key)
        if row is None or key not in self.holding.repeated:
            return of_task(row) if row else key
        return in_place(of_task(row), in_language(self.holding.place_names.get(row.place, {})))

    def requirement(self, key: str) -> str:
        """One that left the plan goes by the words it had last."""
        row = self.holding.requirement_by_key.get(key) or (
            self.holding.no_longer_asked.get(key) if "#" in key else None
        )
        return of_requirement(row) if row else no_longer_asked(key)

    def gate(self, key: str) -> str:
        row = self.holding.gate_named(key)
        return of_gate(row) if row else key

    def fact(self, key: str) -> str:
        question = next((row for row in self.holding.questions if row.fact == key), None)
        return in_language(question.derived.get("text", {})) or key if question else key

    def subject(self, key: str) -> str:
        """What an event of the record is about: a requirement, a gate or a task."""
        if "#" in key:
            return self.requirement(key)
        return self.gate(key) if self.holding.gate_named(key) else self.task(key)

    def receiver(self, subject: str) -> str:
        """Who receives in ``before>after``: the company, else the trade."""
        row = self.holding.task_by_key.get(subject.partition(">")[2])
        return (self.holding.company_of(row.trade)[0] or trade_words(row.trade)) if row else subject

    def when(self, moment: datetime | None) -> str:
        """``today``, ``yesterday``, or the day, on the project's own calendar."""
        if moment is None:
            return ""
        day = moment.astimezone(ZoneInfo(self.holding.project.zone)).date()
        return day_words(day, self.holding.today)


def names_of(scene: Scene) -> Names:
    return Names(scene.holding)


def missing_thing(missing: Missing, names: Names) -> str:
    """What is missing, without who owes it."""
    return str(MISSING[missing.kind]) % {
        "subject": missing.subject,
        "task": names.task(missing.task or missing.subject),
        "requirement": names.requirement(missing.subject),
        "gate": names.gate(missing.subject),
        "fact": names.fact(missing.subject),
        "receiver": names.receiver(missing.subject),
        "party": party_words(missing.subject),
        "when": names.when(missing.since),
    }


def missing_words(missing: Missing, names: Names, *, phones: bool = True) -> str:
    """One missing thing with its owner and phone, without a full stop."""
    what, phone = missing_thing(missing, names), missing.phone if phones else ""
    return ", ".join(part for part in (what, owner_words(missing), phone) if part)


def held_by(missing: Iterable[Missing], names: Names, *, phones: bool = True) -> str:
    """One line for a list or a title block; empty when nothing is missing."""
    found = [missing_words(item, names, phones=phones) for item in missing]
    return _now("held by: %(what)s") % {"what": "; ".join(found)} if found else ""


def owner_words(missing: Missing) -> str:
    """The company or person; where none is named yet, the trade, role or authority and that nobody is."""
    if missing.owner:
        return missing.owner
    if not missing.trade:
        return ""
    if missing.trade in TRADES and missing.kind not in {"authority document missing", "not reviewed"}:
        return _now("%(trade)s, no company named yet") % {"trade": trade_words(missing.trade)}
    return party_words(missing.trade)


def cause_words(cause: Mapping[str, Any], names: Names | None = None) -> str:
    """Why a gate reopened, with the reasons that were given: one of ``Clearing.reopened_because``."""
    subject = str(cause["subject"])
    what = names.subject(subject) if names else subject
    words = str(CAUSES.get(cause["verb"], _("something that it rested on changed"))) % {"what": what}
    reasons = "; ".join(str(reason).rstrip(".") for reason in cause.get("reasons", ()))
    return f"{words}: {reasons}" if reasons else words


def state_words(state: str) -> str:
    return str(STATES[state])


def trade_words(trade: str) -> str:
    return str(TRADES.get(trade, trade))


def party_words(party: str) -> str:
    """A role or authority in words."""
    return str(PARTIES.get(party, party))


def authority_words(kind: str, name: str) -> str:
    """An authority by its kind, and its name where it is known."""
    return f"{name} ({party_words(kind)})" if name else party_words(kind)


def day_words(day: date, today: date) -> str:
    ago = (today - day).days
    if ago in (0, 1):
        return _now("yesterday") if ago else _now("today")
    return _now("on %(day)s") % {"day": date_format(day, "MONTH_DAY_FORMAT")}


def no_longer_asked(key: str) -> str:
    """What is said in the place of a requirement without words; other keys stay as they are."""
    return _now("a requirement that is no longer asked for") if "#" in key else key


def of_task(task: Task) -> str:
    return in_language(task.derived.get("text", {})) or task.key


def of_requirement(requirement: Requirement) -> str:
    return in_language(requirement.terms.get("text", {})) or requirement.key


def of_gate(gate: Gate) -> str:
    return in_language(gate.derived.get("text", {})) or gate.key


def in_language(text: Mapping[str, str]) -> str:
    """The words of a language table for the reader, English where theirs are not there."""
    return text.get((get_language() or "en")[:2]) or text.get("en", "")
