"""From a holding to the frozen standing that readiness judges."""

from collections.abc import Callable
from datetime import date, timedelta

from coordination.gates.calendars import add_days
from coordination.gates.holding import Holding
from coordination.gates.models import Answer
from coordination.gates.variances import is_variance
from coordination.projects.models import Gate, Link, Requirement, Task
from coordination.readiness import (
    ConditionStanding,
    GateStanding,
    LinkStanding,
    Party,
    RequirementStanding,
    Standing,
    TaskStanding,
)

Digest = Callable[[Gate], str]
ROLE_OF_TRADE = {"general contractor": "contractor", "lift": "lift crew", "building official": "building"}


def standing_of(holding: Holding, digest: Digest | None = None) -> Standing:
    """The standing of one project. Without ``digest`` no signature counts: what a signature is for needs it."""
    parties = _parties(holding)
    return Standing(
        tasks=tuple(_task(task, holding, parties) for task in holding.tasks),
        links=tuple(_link(link, holding) for link in holding.links),
        gates=tuple(_gate(gate, holding, digest) for gate in holding.gates),
        parties=parties,
    )


def _task(task: Task, holding: Holding, parties: dict[str, Party]) -> TaskStanding:
    owner = _owner(task.trade, holding, parties)
    offer = holding.newest_offer.get(task.pk)
    open_facts = {question.fact for question in holding.questions}
    return TaskStanding(
        key=task.key,
        trade=task.trade,
        place=task.place,
        owner=owner.name,
        phone=owner.phone,
        provisional=task.provisional,
        begun=task.begun_on is not None,
        finished=task.finished_on is not None,
        offered_round=offer.round if offer and offer.ended_at is None else 0,
        retired=task.retired_in is not None,
        is_gate=task.is_gate,
        requirements=tuple(_requirement(row, holding) for row in holding.requirements_of[task.pk]),
        question_open=bool(open_facts & set(task.derived.get("because", ()))),
    )


def _requirement(row: Requirement, holding: Holding) -> RequirementStanding:
    shown = holding.shown[row.pk]
    return RequirementStanding(
        key=holding.key_of(row),
        task=holding.task[row.task_id].key,
        kind=row.kind,
        text_key=row.key,
        accepts=row.accepts or None,
        outcome=shown.outcome,
        in_tolerance=shown.in_tolerance,
        conceded=row.pk in holding.standing_concession,
        released=shown.released,
        release=row.release or None,
        concede=tuple(row.concede),
        varied=is_variance(holding.standing_concession.get(row.pk)),
        lift_critical=row.lift_critical,
        authorised=bool(row.terms.get("authorised")),
        since=shown.since,
    )


def _link(link: Link, holding: Holding) -> LinkStanding:
    before, after = holding.task[link.before_id], holding.task[link.after_id]
    answer = answer_on(link, holding)
    offer = holding.newest_offer.get(link.before_id)
    return LinkStanding(
        before=before.key,
        after=after.key,
        kind=link.kind,
        handoff=link.handoff,
        lag_open=_lag_open(link, before, after, holding),
        answer=answer.outcome if answer else "none",
        receiver=holding.company_of(after.trade)[0],
        since=answer.at if answer else (offer.offered_at if offer else None),
    )


def answer_on(link: Link, holding: Holding) -> Answer | None:
    """The receiver's word on the newest offer. An acceptance ends with its offer; a refusal is what ended it."""
    offer = holding.newest_offer.get(link.before_id)
    answer = holding.answer_to.get((offer.pk, link.pk)) if offer else None
    if offer is None or answer is None or (answer.outcome == "accepted" and offer.ended_at is not None):
        return None
    return answer


def _lag_open(link: Link, before: Task, after: Task, holding: Holding) -> bool:
    """Whether what the link waits for has happened and its lag has not run out today."""
    happened = before.begun_on if link.kind in {"SS", "SF"} else before.finished_on
    if happened is None or link.lag <= 0:
        return False
    if link.unit == "calendar":
        return holding.today <= happened + timedelta(days=link.lag)
    return holding.today < _working(happened, link.lag, after, holding)


def _working(day: date, lag: int, after: Task, holding: Holding) -> date:
    return add_days(holding, str(after.derived.get("calendar", "site")), day, lag)


def _gate(gate: Gate, holding: Holding, digest: Digest | None) -> GateStanding:
    signed, otherwise = _signatures(gate, holding, digest)
    return GateStanding(
        key=gate.key,
        task=holding.task[gate.task_id].key,
        conditions=tuple(
            ConditionStanding(row.kind, row.subject, _met(row.kind, row.subject, holding))
            for row in holding.conditions_of[gate.pk]
        ),
        signers=tuple(gate.signers),
        signed=signed,
        signed_otherwise=otherwise,
        cleared=holding.standing_clearing(gate) is not None,
        plan_settled=holding.plan_settled,
        clears=gate.clears,
    )


def _signatures(gate: Gate, holding: Holding, digest: Digest | None) -> tuple[frozenset[str], frozenset[str]]:
    """Roles whose word is for this round and exactly this standing; roles whose word was for another."""
    current = holding.round_of(gate)
    given = [row for row in holding.signatures if row.gate_id == gate.pk and row.round == current]
    if digest is None or not given:
        return frozenset(), frozenset()
    now = digest(gate)
    signed = frozenset(row.role for row in given if row.digest == now)
    return signed, frozenset(row.role for row in given) - signed


def _met(kind: str, subject: str, holding: Holding) -> bool | None:
    """Only questions are answered here: known is an answer, assumed is half of one."""
    if kind != "question answered":
        return None
    entry = holding.newest_entry.get(subject)
    return {"known": True, "assumed": None}.get(entry.state, False) if entry else False


def _owner(trade: str, holding: Holding, parties: dict[str, Party]) -> Party:
    name, phone = holding.company_of(trade)
    return Party(name, phone) if name else parties.get(ROLE_OF_TRADE.get(trade, ""), Party())


def _parties(holding: Holding) -> dict[str, Party]:
    """Who answers for a role, an authority and an open question."""
    parties = {row.kind: Party(row.name, row.phone) for row in holding.authorities}
    for member in holding.memberships:
        phone = member.person.phone or member.company.phone
        parties.setdefault(member.role, Party(f"{member.person.name}, {member.company.name}", phone))
    for question in holding.questions:
        parties[question.fact] = parties.get(question.decides, Party())
    return parties
