"""How far a project is, for its owner: plain words, no telephone numbers, no company's own affairs."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, pgettext_lazy

from coordination.access.visitors import Visitor
from coordination.dates.queries import SiteDates
from coordination.gates.models import Concession
from coordination.gates.ordering import gates_in_order
from coordination.gates.queries import Scene
from coordination.gates.sentences import Names, party_words, trade_words
from coordination.projects.models import Gate, Requirement, Task
from coordination.projects.queries import QuestionView
from coordination.readiness import Missing, is_satisfied, signers_of
from coordination.web.forms.owner import LettingGoForm
from coordination.web.places import PlaceLine
from coordination.web.texts import on_day, said
from coordination.web.words import ROLES

OWNER = "owner"

# What a state means to somebody who does not build.
PLAIN: Mapping[str, str | Promise] = {
    "held": pgettext_lazy("plain state", "waits for other work"),
    "ready": pgettext_lazy("plain state", "can begin"),
    "at work": pgettext_lazy("plain state", "under way"),
    "offered": pgettext_lazy("plain state", "finished, being looked at"),
    "refused": pgettext_lazy("plain state", "to be put right"),
    "accepted": pgettext_lazy("plain state", "finished and accepted"),
    "done": pgettext_lazy("plain state", "finished"),
    "question open": pgettext_lazy("plain state", "waits for an answer"),
}
PAPERS: Mapping[str, str | Promise] = {
    "authority document missing": gettext_lazy("waits for the authority’s document"),
    "document missing": gettext_lazy("a document is missing"),
}


@dataclass(frozen=True)
class PlainLine:
    """One line of components/schedule.html in plain words."""

    name: str
    state: str
    word: str
    note: str = ""


@dataclass(frozen=True)
class Granted:
    """Something that the owner has let go, with others or alone."""

    uid: UUID
    what: str
    reason: str
    scope: str
    until: date | None


@dataclass(frozen=True)
class Asking:
    """A permission to go on without something, which the owner is asked to give."""

    uid: UUID
    what: str
    found: str
    reason: str
    scope: str
    until: date | None
    spoken: tuple[str, ...]
    kind: str
    form: LettingGoForm


@dataclass(frozen=True)
class Signing:
    """A gate that waits for the owner's signature; ``uid`` is its milestone's."""

    uid: UUID
    gate: str


def in_short(scene: Scene, site: SiteDates, gate: Gate | None) -> str:
    """The first sentence of the page."""
    gates = list(scene.holding.gate_by_key.values())
    if not gates:
        return _("The facts of the building are being gathered; nothing is planned yet.")
    passed = sum(scene.assessment.gates[row.key].state == "cleared" for row in gates)
    if gate is None or site.next_gate is None:
        return _("Every gate is cleared.")
    words = ngettext(
        "%(passed)s of %(all)s gate is cleared. The next is “%(gate)s”, expected about %(day)s.",
        "%(passed)s of %(all)s gates are cleared. The next is “%(gate)s”, expected about %(day)s.",
        len(gates),
    )
    return words % {
        "passed": passed,
        "all": len(gates),
        "gate": said(gate.derived.get("text", {})),
        "day": on_day(site.next_gate[1]),
    }


def plain_places(places: Iterable[PlaceLine]) -> list[PlainLine]:
    """Each place with its state, without what a company has to do there."""
    return [PlainLine(place.name, place.state, str(PLAIN[place.state])) for place in places]


def waits_for(scene: Scene, missing: Sequence[Missing], places: Mapping[str, str]) -> list[PlainLine]:
    """What the next gate still waits for, each piece of work once, in the order given."""
    names = Names(scene.holding)
    found: dict[str, PlainLine] = {}
    for item in missing:
        line = _line(scene, item, names, places)
        found.setdefault(f"{line.name}|{line.note}", line)
    return list(found.values())


def way_there(scene: Scene, site: SiteDates) -> list[PlainLine]:
    """Every gate in its order, with the day on which it was cleared or is expected."""
    lines = []
    for gate in gates_in_order(scene.holding):
        clearing = scene.holding.standing_clearing(gate)
        ready = scene.assessment.gates[gate.key]
        again = clearing is None and any(row.gate_id == gate.pk for row in scene.holding.clearings)
        if clearing is not None:
            # the day on the site's own calendar is the task's, not the reader's
            day = scene.holding.task[gate.task_id].finished_on or clearing.cleared_at.date()
            words = _("cleared on %(day)s") % {"day": on_day(day)}
        elif gate.key in site.dated.gates:
            words = _("expected about %(day)s") % {"day": on_day(site.dated.gates[gate.key])}
        else:
            words = _("to come")
        note = _("was cleared before; something changed, so it is looked at again") if again else ""
        state = "reopened" if again else ready.state
        lines.append(PlainLine(said(gate.derived.get("text", {})), state, words, note))
    return lines


def owners_questions(asked: Iterable[QuestionView]) -> list[QuestionView]:
    return [question for question in asked if question.decides == OWNER]


def askings(scene: Scene, visitor: Visitor, typed: Callable[[str, bool], LettingGoForm]) -> list[Asking]:
    """What the owner is asked to let go: others have spoken for it, or it came out wrong and the owner is named.

    ``typed`` makes the form of a requirement, by its uid, and whether the scope is to be given too.
    """
    if OWNER not in visitor.roles:
        return []
    holding = scene.holding
    open_pleas = {
        row.requirement_id: row
        for row in holding.concessions
        if row.ended_at is None and row.pk not in {one.pk for one in holding.standing_concession.values()}
    }
    found = []
    for row in holding.requirements:
        need = scene.reading.needs.get(holding.key_of(row))
        if OWNER not in row.concede or need is None or is_satisfied(need):
            continue
        plea = open_pleas.get(row.pk)
        spoken = {voice.role for voice in holding.voices_of[plea.pk]} if plea else set()
        came_out_wrong = need.in_tolerance is False or need.outcome == "refused"
        if OWNER in spoken or not (plea or came_out_wrong):
            continue
        found.append(_asking(scene, row, plea, typed(str(row.uid), plea is None)))
    return found


def granted(scene: Scene, visitor: Visitor) -> list[Granted]:
    """Concessions that stand and that the owner has spoken for, so that they may take their word back."""
    if OWNER not in visitor.roles:
        return []
    rows = {row.pk: row for row in scene.holding.requirements}
    return [
        Granted(
            item.uid,
            capfirst(said(rows[pk].terms.get("text", {}))),
            item.reason,
            item.scope,
            item.expires_on,
        )
        for pk, item in scene.holding.standing_concession.items()
        if OWNER in item.needs
    ]


def signings(scene: Scene, visitor: Visitor) -> list[Signing]:
    """Gates at which nothing but signatures is missing and the owner has not signed."""
    if OWNER not in visitor.roles:
        return []
    standing = {gate.key: gate for gate in scene.standing.gates}
    return [
        Signing(scene.holding.task[gate.task_id].uid, said(gate.derived.get("text", {})))
        for gate in scene.holding.gate_by_key.values()
        if not standing[gate.key].cleared
        and OWNER in signers_of(standing[gate.key])
        and OWNER not in standing[gate.key].signed
        and not scene.assessment.gates[gate.key].unsigned
    ]


def _asking(scene: Scene, row: Requirement, plea: Concession | None, form: LettingGoForm) -> Asking:
    holding = scene.holding
    counted = holding.shown[row.pk].counted
    begun = holding.task[row.task_id].begun_on is not None
    return Asking(
        uid=row.uid,
        what=capfirst(said(row.terms.get("text", {}))),
        found=counted[-1].evidence.typed if counted else "",
        reason=plea.reason if plea else "",
        scope=plea.scope if plea else "",
        until=plea.expires_on if plea else None,
        spoken=tuple(str(ROLES[voice.role]) for voice in holding.voices_of[plea.pk]) if plea else (),
        kind=plea.kind if plea else ("concession" if begun else "deviation permit"),
        form=form,
    )


def _line(scene: Scene, item: Missing, names: Names, places: Mapping[str, str]) -> PlainLine:
    task = scene.holding.task_by_key.get(item.task or item.subject)
    if item.kind.startswith("signature"):
        who = str(ROLES.get(item.subject) or party_words(item.subject))
        return PlainLine(_("Signature of the %(role)s") % {"role": who}, "none", _("to be signed"))
    if item.kind in {"question open", "fact only assumed"}:
        return PlainLine(names.fact(item.subject), "question open", str(PLAIN["question open"]))
    if item.kind in PAPERS:
        what = capfirst(names.requirement(item.subject))
        return PlainLine(what, "none", str(PAPERS[item.kind]), capfirst(party_words(item.trade)))
    if item.kind == "plan not settled" or task is None or task.key not in scene.assessment.tasks:
        return PlainLine(_("The plan"), "question open", _("something changed; it is being looked at again"))
    return _work(scene, task, names, places)


def _work(scene: Scene, task: Task, names: Names, places: Mapping[str, str]) -> PlainLine:
    if task.is_gate:
        return PlainLine(names.task(task.key), "held", _("an earlier gate"))
    state = scene.assessment.tasks[task.key].state
    note = ", ".join(filter(None, (places.get(task.place), trade_words(task.trade))))
    return PlainLine(capfirst(names.task(task.key)), state, str(PLAIN[state]), note)
