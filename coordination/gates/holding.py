"""Everything that stands on one project; ``loading`` fills it.

Start guard, gate list, drawing, digest and snapshot are all made from one Holding, so that they cannot disagree.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import TypeVar

from coordination.access.models import Assignment, Membership, Project
from coordination.evidence.outcomes import Shown
from coordination.gates.models import (
    VARIANCE,
    Answer,
    Clearing,
    Concession,
    Offer,
    Signature,
    Voice,
)
from coordination.gates.variances import is_variance
from coordination.projects.local_rules import catalogue_in_force
from coordination.projects.models import (
    Authority,
    Calendar,
    Condition,
    FactEntry,
    Gate,
    Link,
    PlanChange,
    PlanRevision,
    Question,
    Requirement,
    Task,
)
from coordination.projects.queries import UNITS_FACT, standing_plan, units_from
from coordination.projects.shared_names import sharing_a_name
from coordination.siteprep.catalogue import Catalogue
from coordination.siteprep.lengths import UnitSystem

Row = TypeVar("Row")


@dataclass
class Holding:
    """The rows of one project as they stand. Retired requirements, links and conditions are left out."""

    project: Project
    today: date
    tasks: list[Task] = field(default_factory=list)
    requirements: list[Requirement] = field(default_factory=list)
    links: list[Link] = field(default_factory=list)
    gates: list[Gate] = field(default_factory=list)
    conditions: list[Condition] = field(default_factory=list)
    shown: dict[int, Shown] = field(default_factory=dict)
    offers: list[Offer] = field(default_factory=list)
    answers: list[Answer] = field(default_factory=list)
    clearings: list[Clearing] = field(default_factory=list)
    signatures: list[Signature] = field(default_factory=list)
    concessions: list[Concession] = field(default_factory=list)
    voices: list[Voice] = field(default_factory=list)
    entries: list[FactEntry] = field(default_factory=list)
    changes: list[PlanChange] = field(default_factory=list)
    revisions: list[PlanRevision] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)
    assignments: list[Assignment] = field(default_factory=list)
    memberships: list[Membership] = field(default_factory=list)
    authorities: list[Authority] = field(default_factory=list)
    calendars: list[Calendar] = field(default_factory=list)

    @cached_property
    def task(self) -> dict[int, Task]:
        return {task.pk: task for task in self.tasks}

    @cached_property
    def task_by_key(self) -> dict[str, Task]:
        return {task.key: task for task in self.tasks}

    @cached_property
    def requirement_by_key(self) -> dict[str, Requirement]:
        return {self.key_of(row): row for row in self.requirements}

    @cached_property
    def requirements_of(self) -> Mapping[int, list[Requirement]]:
        return _grouped(self.requirements, lambda row: row.task_id)

    @cached_property
    def conditions_of(self) -> Mapping[int, list[Condition]]:
        return _grouped(self.conditions, lambda row: row.gate_id)

    @cached_property
    def links_out_of(self) -> Mapping[int, list[Link]]:
        return _grouped(self.links, lambda row: row.before_id)

    @cached_property
    def gate_by_key(self) -> dict[str, Gate]:
        """Gates whose milestone still belongs to the plan."""
        return {gate.key: gate for gate in self.gates if self.task[gate.task_id].retired_in is None}

    def gate_named(self, key: str) -> Gate | None:
        """Also one that has left the plan."""
        left = (gate for gate in self.gates if gate.key == key)
        return self.gate_by_key.get(key) or next(left, None)

    @cached_property
    def newest_offer(self) -> dict[int, Offer]:
        return {offer.task_id: offer for offer in sorted(self.offers, key=lambda row: row.round)}

    @cached_property
    def answer_to(self) -> dict[tuple[int, int], Answer]:
        """By offer and link."""
        return {(answer.offer_id, answer.link_id): answer for answer in self.answers}

    @cached_property
    def voices_of(self) -> Mapping[int, list[Voice]]:
        return _grouped(self.voices, lambda row: row.concession_id)

    @cached_property
    def newest_entry(self) -> dict[str, FactEntry]:
        return {entry.key: entry for entry in self.entries}

    @cached_property
    def catalogue(self) -> Catalogue:
        """The rules in force; looked up only where somebody asks."""
        return catalogue_in_force(self.project)

    @cached_property
    def no_longer_asked(self) -> dict[str, Requirement]:
        """By key, what the plan asked for and does not any more, as it was last; looked up only where it is named."""
        left = Requirement.objects.filter(task__project=self.project, retired_in__isnull=False)
        return {str(row): row for row in left.select_related("task")}

    @cached_property
    def place_names(self) -> Mapping[str, Mapping[str, str]]:
        """What the plan calls its places, in each language; looked up only where somebody asks."""
        return {place.key: place.text for place in standing_plan(self.project).places}

    @cached_property
    def repeated(self) -> frozenset[str]:
        """Keys of tasks that only their places tell apart."""
        return sharing_a_name(self.tasks)

    @property
    def units(self) -> UnitSystem:
        """The units that the trades of this job measure in."""
        return units_from(self.newest_entry.get(UNITS_FACT))

    @cached_property
    def unsettled_since(self) -> int | None:
        """Place in the chain of the first facts that brought another plan than the standing one; None when settled."""
        if self.plan_settled:
            return None
        accepted = self.revisions[-1].event.seq if self.revisions else 0
        return min(change.event.seq for change in self.changes if change.event.seq > accepted)

    def settled_entry(self, fact: str, until: int | None = None) -> FactEntry | None:
        """The entry that counts: while a change of plan is open, the last one before it.

        ``until`` is the place of a clearing: facts that came before it were settled then.
        """
        if self.unsettled_since is None:
            return self.newest_entry.get(fact)
        end = max(self.unsettled_since, until or 0)
        counted = [entry for entry in self.entries if entry.key == fact and entry.event.seq < end]
        return counted[-1] if counted else None

    @cached_property
    def standing_concession(self) -> dict[int, Concession]:
        """By requirement: every role needed has spoken, for these terms, and the permission has not run out."""
        terms = {row.pk: row for row in self.requirements}
        return {
            row.requirement_id: row
            for row in self.concessions
            if row.requirement_id in terms and self._stands(row, terms[row.requirement_id])
        }

    def _stands(self, concession: Concession, requirement: Requirement) -> bool:
        spoken = {voice.role for voice in self.voices_of[concession.pk]}
        return (
            concession.ended_at is None
            and concession.terms_sha == requirement.terms_sha
            and (concession.expires_on is None or concession.expires_on >= self.today)
            and set(concession.needs) <= spoken
            and bool(concession.needs)
            and is_variance(concession) == (concession.kind == VARIANCE)
        )

    @property
    def plan_number(self) -> int:
        """Number of the standing plan; 0 before the first."""
        return self.revisions[-1].number if self.revisions else 0

    @property
    def plan_settled(self) -> bool:
        return all(change.state != "open" for change in self.changes)

    def standing_clearing(self, gate: Gate) -> Clearing | None:
        return next(
            (row for row in self.clearings if row.gate_id == gate.pk and row.reopened_at is None), None
        )

    def round_of(self, gate: Gate) -> int:
        """The round that is being signed, or that of the standing clearing."""
        rounds = [row.round for row in self.clearings if row.gate_id == gate.pk]
        standing = self.standing_clearing(gate)
        return standing.round if standing else max(rounds, default=0) + 1

    def company_of(self, trade: str) -> tuple[str, str]:
        """Name and phone of the company that does a trade's work; both empty where there is none."""
        for row in self.assignments:
            if row.trade == trade:
                return row.company.name, row.company.phone
        return "", ""

    def key_of(self, requirement: Requirement) -> str:
        return f"{self.task[requirement.task_id].key}#{requirement.key}"


def _grouped(rows: Iterable[Row], key: Callable[[Row], int]) -> Mapping[int, list[Row]]:
    found: defaultdict[int, list[Row]] = defaultdict(list)
    for row in rows:
        found[key(row)].append(row)
    return found
