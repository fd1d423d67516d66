"""Whom a decision concerns: found from the record afterwards, never called by whoever decided.

  offered    those who must look at it, and those who receive it
  refused    the trade whose work came back
  reopened   coordinator, contractor and lift crew, who signed it, and the trades at work behind the gate
  cleared    the same: what lies behind the gate may start
  answered   the coordinator: a question of theirs was settled
  unheard    contractor and coordinator: one of those concerned has neither account nor e-mail, and knows nothing yet

A company without an account is written to at its own e-mail. ``reminded``, ``unreminded`` and ``late`` follow from the
clock, not from a decision: see ``reminding``.

Nobody is told what they did themselves; that nobody heard of it, they are.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from coordination.access.models import Company, Person
from coordination.notices.happened import links_concerned
from coordination.notices.people import People
from coordination.notices.unheard import Links, Party, parties
from coordination.projects.models import Gate, Requirement, Task
from coordination.record.queries import Decision

KINDS = (
    "offered",
    "reminded",
    "late",
    "refused",
    "reopened",
    "cleared",
    "answered",
    "unheard",
    "unreminded",
)
WHOLE_SITE = frozenset({"coordinator", "contractor", "lift crew"})
WHO_CALLS = frozenset({"coordinator", "contractor"})
Concerned = tuple[str, list[str]]  # a kind of message, and trades
REFUSALS = frozenset({"evidence refused", "handoff refused"})


@dataclass(frozen=True)
class Telling:
    """One person, or one company without an account, and why they are told."""

    person: int | None
    kind: str
    company: int | None = None


def tellings(decision: Decision, people: People) -> list[Telling]:
    """Each once for each kind, people in the order in which they joined."""
    found: dict[Telling, None] = {}
    trades, gates = list(_trades_concerned(decision, people)), _gates(decision, people)
    for kind, whom in _concerned(decision, people, trades, gates):
        if isinstance(whom, Company):
            found[Telling(None, kind, whom.pk)] = None
        elif f"person:{whom.uid}" != decision.actor.get("identity"):
            found[Telling(whom.pk, kind)] = None
    if _unheard(decision, people, decision.at, trades, gates):
        found |= {Telling(person.pk, "unheard"): None for person in people.in_roles(WHO_CALLS)}
    return list(found)


def who_is_unheard(decision: Decision, people: People, now: datetime) -> list[Party]:
    """Of those whom a decision concerns, the ones whom no mail reaches; whoever decided it knows."""
    return _unheard(
        decision, people, now, list(_trades_concerned(decision, people)), _gates(decision, people)
    )


def _unheard(
    decision: Decision, people: People, now: datetime, concerned: Sequence[Concerned], gates: Sequence[Gate]
) -> list[Party]:
    trades = [trade for _kind, some in concerned for trade in some]
    purposes = {purpose for gate in gates for purpose in links_concerned(gate.signers)}
    if not trades and not purposes:
        return []
    found = parties(people, trades, purposes, Links.of([people.project]), now)
    own = decision.actor.get("company_uid")
    return [each for each in found if each.company is None or str(each.company.uid) != own]


def _concerned(
    decision: Decision, people: People, concerned: Sequence[Concerned], gates: Sequence[Gate]
) -> Iterator[tuple[str, Person | Company]]:
    if decision.verb == "work offered":
        for person in _who_reviews(decision, people):
            yield "offered", person
    if decision.body.get("reopens"):
        signers = {role for gate in gates for role in gate.signers}
        for person in (*people.in_roles(WHOLE_SITE), *people.in_roles(signers)):
            yield "reopened", person
    if decision.verb == "gate cleared":
        for person in people.in_roles(WHOLE_SITE):
            yield "cleared", person
    if decision.verb == "question answered":
        for person in people.in_roles({"coordinator"}):
            yield "answered", person
    for kind, trades in concerned:
        for whom in people.to_be_mailed(trades):
            yield kind, whom


def _trades_concerned(decision: Decision, people: People) -> Iterator[Concerned]:
    """Trades that receive what was offered, that did what was refused, that work behind what reopened."""
    if decision.verb == "work offered":
        yield "offered", _trades(decision.body.get("to", ()), people)
    if decision.verb in REFUSALS:
        yield "refused", _trades([decision.subject.partition("#")[0]], people)
    working = [str(one["task"]) for item in reopened(decision) for one in item.get("at_work", ())]
    if working:
        yield "reopened", _trades(working, people)


def _gates(decision: Decision, people: People) -> list[Gate]:
    """The gates that a decision reopened."""
    keys = [item["gate"] for item in reopened(decision)]
    return list(Gate.objects.filter(task__project=people.project, key__in=keys)) if keys else []


def _who_reviews(decision: Decision, people: People) -> list[Person]:
    """Reviewers of what the work must show, their deputies where nobody has the role."""
    asked = Requirement.objects.filter(
        task__project=people.project, task__key=decision.subject, retired_in=None
    ).exclude(accepts="")
    reviewers: list[Person] = []
    for accepts, deputy in asked.values_list("accepts", "deputy").distinct().order_by("accepts", "deputy"):
        reviewers += people.in_roles({accepts}) or people.in_roles({deputy})
    return reviewers


def _trades(keys: Iterable[str], people: People) -> list[str]:
    """The trades of the tasks with these keys."""
    rows = Task.objects.filter(project=people.project, key__in=list(keys))
    return list(rows.values_list("trade", flat=True))


def reopened(decision: Decision) -> list[Mapping[str, Any]]:
    """The gates that a decision reopened, as the record tells them."""
    return list(decision.body.get("reopens") or ())
