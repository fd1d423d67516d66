"""A gate on the screen: what is missing and who is to be called, what is met, who signs, what went before."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from coordination.access.permissions import Scope, may
from coordination.access.visitors import Visitor
from coordination.gates.models import Signature
from coordination.gates.ordering import gates_in_order
from coordination.gates.queries import Scene, clearings
from coordination.gates.sentences import Names, cause_words, held_by, party_words
from coordination.gates.signed_words import statement_words
from coordination.handover.queries import Round
from coordination.projects.models import Condition, Gate
from coordination.projects.stating import facts_of
from coordination.readiness import Missing, RequirementStanding, Standing, TaskStanding, assess, signers_of
from coordination.web.missing import MissingLine, missing_lines, sheet_of
from coordination.web.texts import on_day, said
from coordination.web.words import ROLES

OF_WORK: Mapping[str, str | Promise] = {
    "not begun": gettext_lazy("has not begun"),
    "not finished": gettext_lazy("is not finished"),
    "lag running": gettext_lazy("its waiting time still runs"),
}
OF_REQUIREMENT: Mapping[str, str | Promise] = {
    "not handed in": gettext_lazy("not handed in"),
    "not reviewed": gettext_lazy("not looked at since %(when)s"),
    "refused": gettext_lazy("refused %(when)s"),
    "out of tolerance": gettext_lazy("out of tolerance"),
    "inspection failed": gettext_lazy("not passed %(when)s"),
    "authority document missing": gettext_lazy("the authority’s own document is missing"),
}


@dataclass(frozen=True)
class GateLine:
    """One line of components/schedule.html."""

    name: str
    state: str
    note: str
    href: str


@dataclass(frozen=True)
class MissingPart:
    """One thing that is missing in a piece of work: what, and how it stands."""

    what: str
    word: str
    state: str


@dataclass(frozen=True)
class MissingWork:
    """A piece of work, gate or question with everything that is missing in it."""

    name: str
    word: str
    state: str
    href: str
    parts: tuple[MissingPart, ...]


@dataclass(frozen=True)
class OwnersLines:
    """Everything that one company or person owes, with one telephone number."""

    owner: str
    phone: str
    works: tuple[MissingWork, ...]
    number: int


@dataclass(frozen=True)
class MetLine:
    """A condition that is met, and how."""

    name: str
    state: str
    note: str
    href: str


@dataclass(frozen=True)
class SignerLine:
    """A role that signs, who answers for it, and what was signed when."""

    role: str
    who: str
    phone: str
    signed_name: str
    signed_at: datetime | None
    statement: str
    state: str
    word: str


@dataclass(frozen=True)
class Behind:
    """Work that goes on behind a gate that reopened."""

    task: str
    company: str
    phone: str


@dataclass(frozen=True)
class RoundLine:
    """One round of the gate: when it was cleared, why it reopened, who is at work behind it now, its reports."""

    number: int
    cleared_at: datetime
    reopened_at: datetime | None
    causes: tuple[str, ...]
    behind: tuple[Behind, ...]
    round: Round | None


def gate_of(scene: Scene, task_uid: object) -> Gate | None:
    """The gate whose milestone is the task with this uid."""
    return next((row for row in scene.holding.gates if scene.holding.task[row.task_id].uid == task_uid), None)


def gate_lines(scene: Scene, days: Mapping[str, date]) -> list[GateLine]:
    """Every gate in its order."""
    address = sheet_of(scene.holding)
    return [
        GateLine(
            said(gate.derived.get("text", {})),
            state_of(scene, gate),
            _note(scene, gate, days),
            address(scene.holding.task[gate.task_id]),
        )
        for gate in gates_in_order(scene.holding)
    ]


def state_of(scene: Scene, gate: Gate) -> str:
    """Its state; ``reopened`` for one that was cleared before and is held again."""
    state = scene.assessment.gates[gate.key].state
    before = any(row.gate_id == gate.pk for row in scene.holding.clearings)
    return "reopened" if before and state == "held" else state


def by_owner(missing: Sequence[Missing], scene: Scene) -> list[OwnersLines]:
    """What is missing, in one list for each who owes it; the longest list first, what nobody owes last."""
    owed: dict[tuple[str, str], list[tuple[Missing, MissingLine]]] = {}
    for item, line in zip(missing, missing_lines(missing, scene.holding), strict=True):
        owed.setdefault((line.owner, line.phone), []).append((item, line))
    found = [
        OwnersLines(owner, phone, _works(items, scene), len(items)) for (owner, phone), items in owed.items()
    ]
    return sorted(found, key=lambda one: (not one.owner, -one.number, one.owner))


def _works(items: Sequence[tuple[Missing, MissingLine]], scene: Scene) -> tuple[MissingWork, ...]:
    """The items of one owner, those of one piece of work together."""
    together: dict[str, list[tuple[Missing, MissingLine]]] = {}
    for item, line in items:
        together.setdefault(item.task or item.subject, []).append((item, line))
    return tuple(_work(key, of_work, Names(scene.holding)) for key, of_work in together.items())


def _work(key: str, items: Sequence[tuple[Missing, MissingLine]], names: Names) -> MissingWork:
    """One piece of work: whether it has begun stands with its name, everything else below it."""
    first = items[0][1]
    task = names.holding.task_by_key.get(key)
    if task is None or task.is_gate:
        return MissingWork(first.sentence, "", first.state, first.href, ())
    own = [line for item, line in items if item.kind in OF_WORK]
    word = next((str(OF_WORK[item.kind]) for item, _line in items if item.kind in OF_WORK), "")
    begun = not any(item.kind == "not begun" for item, _line in items)
    parts = tuple(_part(item, line, names, begun) for item, line in items if item.kind not in OF_WORK)
    state = own[0].state if own else "at work"
    return MissingWork(capfirst(names.task(key)), word, state, first.href, parts)


def _part(item: Missing, line: MissingLine, names: Names, begun: bool) -> MissingPart:
    """Of work that has not begun it goes without saying that nothing was handed in."""
    if item.kind not in OF_REQUIREMENT:
        return MissingPart(line.sentence, "", line.state)
    said_already = item.kind == "not handed in" and not begun
    word = "" if said_already else str(OF_REQUIREMENT[item.kind]) % {"when": names.when(item.since)}
    return MissingPart(capfirst(names.requirement(item.subject)), word, line.state)


def met_lines(scene: Scene, gate: Gate) -> list[MetLine]:
    """Each condition that is met, in the gate's order; signatures are shown on their own."""
    names = Names(scene.holding)
    shown = (_met(row, scene, names) for row in scene.holding.conditions_of[gate.pk])
    return [line for line in shown if line is not None]


def signer_lines(scene: Scene, gate: Gate) -> list[SignerLine]:
    """Every role that signs, in the gate's order."""
    standing = next(item for item in scene.standing.gates if item.key == gate.key)
    current = scene.holding.round_of(gate)
    given = {
        row.role: row for row in scene.holding.signatures if row.gate_id == gate.pk and row.round == current
    }
    return [
        _signer(scene, role, given.get(role), role in standing.signed or standing.cleared)
        for role in signers_of(standing)
    ]


def may_sign(scene: Scene, gate: Gate, visitor: Visitor) -> list[str]:
    """Roles of the visitor's whose signature is asked for and does not count yet."""
    standing = next(item for item in scene.standing.gates if item.key == gate.key)
    roles = signers_of(standing)
    if standing.cleared or not may(visitor, "sign a gate", Scope(signers=roles)):
        return []
    return [role for role in roles if role in visitor.roles and role not in standing.signed]


def read_by(scene: Scene, gate: Gate) -> set[str]:
    """The keys of the work that the gate's conditions read."""
    return {row.subject.partition("#")[0] for row in scene.holding.conditions_of[gate.pk]}


def is_own(scene: Scene, gate: Gate) -> bool:
    """Whether the project added it beside the plan's."""
    return scene.holding.task[gate.task_id].own


def may_take_back(scene: Scene, gate: Gate, visitor: Visitor) -> bool:
    """Whether the visitor may take it back: a gate of the project's own that was never cleared."""
    never = all(row.gate_id != gate.pk for row in scene.holding.clearings)
    return is_own(scene, gate) and never and may(visitor, "add a gate")


def may_clear(gate: Gate, visitor: Visitor) -> bool:
    return may(visitor, "clear a gate", Scope(clears=gate.clears))


def round_lines(scene: Scene, gate: Gate, made: Iterable[Round]) -> list[RoundLine]:
    """Every round, newest first. Who is at work behind is told with the newest one, once it has reopened."""
    names = Names(scene.holding)
    papers = {str(item.clearing_uid): item for item in made}
    lines = []
    for place, view in enumerate(clearings(scene, gate)):
        working = view.at_work if view.superseded and place == 0 else ()
        lines.append(
            RoundLine(
                number=view.round,
                cleared_at=view.cleared_at,
                reopened_at=view.reopened_at,
                causes=tuple(capfirst(cause_words(cause, names)) for cause in view.because),
                behind=tuple(Behind(names.task(one.task), one.company, one.phone) for one in working),
                round=papers.get(view.uid),
            )
        )
    return lines


def if_all_were_accepted(scene: Scene, gate: Gate) -> int:
    """How many things would still be missing, signatures left out, were all that is handed in and offered accepted."""
    return len(assess(_all_accepted(scene.standing)).gates[gate.key].unsigned)


def _all_accepted(standing: Standing) -> Standing:
    offered = {task.key for task in standing.tasks if task.offered_round}
    return replace(
        standing,
        tasks=tuple(_with_all_accepted(task) for task in standing.tasks),
        links=tuple(
            replace(link, answer="accepted")
            if link.handoff and link.answer == "none" and link.before in offered
            else link
            for link in standing.links
        ),
    )


def _with_all_accepted(task: TaskStanding) -> TaskStanding:
    return replace(task, requirements=tuple(_accepted(need) for need in task.requirements))


def _accepted(need: RequirementStanding) -> RequirementStanding:
    waiting = need.outcome == "handed in" and need.in_tolerance is not False
    return replace(need, outcome="accepted") if waiting else need


def _note(scene: Scene, gate: Gate, days: Mapping[str, date]) -> str:
    clearing = scene.holding.standing_clearing(gate)
    if clearing is not None:
        return _("round %(number)s") % {"number": clearing.round}
    missing = scene.assessment.gates[gate.key].missing
    number, names = len(missing), Names(scene.holding)
    told = ngettext("%(number)s thing missing", "%(number)s things missing", number) % {"number": number}
    day = days.get(gate.key)
    told = _("%(missing)s; %(day)s") % {"missing": told, "day": on_day(day)} if day else told
    return " – ".join(filter(None, (told, held_by(missing[:1], names, phones=False))))


def _met(row: Condition, scene: Scene, names: Names) -> MetLine | None:
    holding = scene.holding
    if row.kind == "task accepted":
        ready, task = scene.assessment.tasks.get(row.subject), holding.task_by_key.get(row.subject)
        if ready is None or task is None or not ready.satisfied:
            return None
        return MetLine(capfirst(names.task(row.subject)), ready.state, "", sheet_of(holding)(task))
    if row.kind == "gate cleared":
        gate = holding.gate_by_key.get(row.subject)
        if gate is None or holding.standing_clearing(gate) is None:
            return None
        return MetLine(names.gate(row.subject), "cleared", "", sheet_of(holding)(holding.task[gate.task_id]))
    if row.kind == "question answered":
        return _answered(row.subject, scene, names)
    return _shown(row, scene, names)


def _answered(fact: str, scene: Scene, names: Names) -> MetLine | None:
    entry = scene.holding.newest_entry.get(fact)
    if entry is None or entry.state != "known":
        return None
    said_by = _("%(typed)s, says %(who)s") % {"typed": entry.typed or entry.value, "who": entry.said_by}
    return MetLine(capfirst(_question(fact, scene) or names.fact(fact)), "known", said_by, "")


def _question(fact: str, scene: Scene) -> str:
    """The words of a fact that was asked; its question has left the plan when it is answered."""
    definition = facts_of(scene.holding.project, scene.holding.newest_entry).definitions.get(fact)
    return said(definition.text) if definition else ""


def _shown(row: Condition, scene: Scene, names: Names) -> MetLine | None:
    need = scene.holding.requirement_by_key.get(row.subject)
    if need is None or row.kind == "signature":
        return None
    how = scene.reading.how(need)
    present = (
        row.kind == "document present"
        and how in {"handed in", "none"}
        and scene.holding.shown[need.pk].standing
    )
    if how not in {"accepted", "conceded", "released"} and not present:
        return None
    task = scene.holding.task[need.task_id]
    state = how if how != "none" else "handed in"
    return MetLine(
        capfirst(names.requirement(row.subject)), state, names.task(task.key), sheet_of(scene.holding)(task)
    )


def _signer(scene: Scene, role: str, given: Signature | None, counts: bool) -> SignerLine:
    party = scene.standing.parties.get(role)
    if given is None:
        state, word = "none", _("not signed yet")
    elif counts:
        state, word = "accepted", _("signed")
    else:
        state, word = "refused", _("signed before something changed: sign again")
    return SignerLine(
        role=capfirst(str(ROLES.get(role) or party_words(role))),
        who=party.name if party else "",
        phone=party.phone if party else "",
        signed_name=given.signed_name if given else "",
        signed_at=given.at if given else None,
        statement=statement_words(given.statement) if given else "",
        state=state,
        word=word,
    )
