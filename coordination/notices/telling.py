"""Whom a decision concerns: found from the record afterwards, never called by whoever decided.

  offered    those who must look at it, and those who receive it
  refused    the trade whose work came back
  reopened   coordinator, contractor and lift crew, who signed it, and the trades at work behind the gate
  cleared    the same: what lies behind the gate may start
  answered   the coordinator: a question of theirs was settled

``reminded`` and ``late`` follow from the clock, not from a decision: see ``reminding``.

Nobody is told what they did themselves.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from coordination.access.models import Assignment, Membership, Person, Project
from coordination.access.queries import ALWAYS
from coordination.gates.holding import Holding
from coordination.projects.models import Gate, Requirement, Task
from coordination.record.queries import Decision

KINDS = ("offered", "reminded", "late", "refused", "reopened", "cleared", "answered")
WHOLE_SITE = frozenset({"coordinator", "contractor", "lift crew"})
REFUSALS = frozenset({"evidence refused", "handoff refused"})


@dataclass(frozen=True)
class Telling:
    """One person and why they are told."""

    person: int
    kind: str


@dataclass
class People:
    """Everybody who stands on a project with an account that is open, and their trades; read once for many events."""

    project: Project
    company_of_trade: dict[str, int] = field(default_factory=dict)

    @classmethod
    def of(cls, holding: Holding) -> "People":
        """The same from what a decision has loaded already."""
        people = cls(holding.project)
        standing = [row for row in holding.memberships if row.person.is_active]
        people.standing = sorted(standing, key=lambda row: row.pk)
        people.companies = {row.trade: row.company_id for row in holding.assignments}
        return people

    @cached_property
    def standing(self) -> list[Membership]:
        rows = Membership.objects.filter(project=self.project, left_at=None, person__is_active=True)
        return list(rows.select_related("person").order_by("pk"))

    @cached_property
    def companies(self) -> Mapping[str, int]:
        rows = Assignment.objects.filter(project=self.project, ended_at=None)
        return dict(rows.values_list("trade", "company_id"))

    def in_roles(self, roles: Iterable[str]) -> list[Person]:
        wanted = set(roles)
        return [row.person for row in self.standing if row.role in wanted]

    def of_trades(self, trades: Iterable[str]) -> list[Person]:
        """Members who do one of these trades' work: by their own trade, or because their company does it."""
        wanted = set(trades)
        return [row.person for row in self.standing if wanted & self._trades(row)]

    def _trades(self, row: Membership) -> set[str]:
        own = {row.trade, ALWAYS.get(row.role, "")} - {""}
        by_company = {trade for trade, company in self.companies.items() if company == row.company_id}
        others = {trade for trade in own if self.companies.get(trade, row.company_id) != row.company_id}
        return (own - others) | by_company


def tellings(decision: Decision, people: People) -> list[Telling]:
    """Each person once for each kind, in the order in which they joined."""
    found: dict[Telling, None] = {}
    for kind, person in _concerned(decision, people):
        if f"person:{person.uid}" != decision.actor.get("identity"):
            found[Telling(person.pk, kind)] = None
    return list(found)


def _concerned(decision: Decision, people: People) -> Iterator[tuple[str, Person]]:
    if decision.verb == "work offered":
        for person in _who_answers(decision, people):
            yield "offered", person
    if decision.verb in REFUSALS:
        for person in people.of_trades(_trades_of_work(decision, people)):
            yield "refused", person
    if decision.body.get("reopens"):
        for person in (*people.in_roles(WHOLE_SITE), *_who_rests_on(decision, people)):
            yield "reopened", person
    if decision.verb == "gate cleared":
        for person in people.in_roles(WHOLE_SITE):
            yield "cleared", person
    if decision.verb == "question answered":
        for person in people.in_roles({"coordinator"}):
            yield "answered", person


def _who_rests_on(decision: Decision, people: People) -> list[Person]:
    """Those at work behind the gates that reopened, and those whose signature they had."""
    opened = reopened(decision)
    working = [str(one["task"]) for item in opened for one in item.get("at_work", ())]
    trades = Task.objects.filter(project=people.project, key__in=working).values_list("trade", flat=True)
    gates = Gate.objects.filter(task__project=people.project, key__in=[item["gate"] for item in opened])
    signers = {role for gate in gates for role in gate.signers}
    return [*people.of_trades(trades), *people.in_roles(signers)]


def _who_answers(decision: Decision, people: People) -> list[Person]:
    """Reviewers of what the work must show (their deputies where nobody has the role), and the receiving trades."""
    asked = Requirement.objects.filter(
        task__project=people.project, task__key=decision.subject, retired_in=None
    ).exclude(accepts="")
    reviewers: list[Person] = []
    for accepts, deputy in asked.values_list("accepts", "deputy").distinct().order_by("accepts", "deputy"):
        reviewers += people.in_roles({accepts}) or people.in_roles({deputy})
    receiving = Task.objects.filter(project=people.project, key__in=decision.body.get("to", ()))
    return reviewers + people.of_trades(receiving.values_list("trade", flat=True))


def _trades_of_work(decision: Decision, people: People) -> list[str]:
    key = decision.subject.partition("#")[0]
    return list(Task.objects.filter(project=people.project, key=key).values_list("trade", flat=True))


def reopened(decision: Decision) -> list[Mapping[str, Any]]:
    """The gates that a decision reopened, as the record tells them."""
    return list(decision.body.get("reopens") or ())
