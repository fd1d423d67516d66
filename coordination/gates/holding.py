"""Everything that stands on projects, loaded in a constant number of queries however many there are.

Start guard, gate list, drawing, digest and snapshot are all made from one Holding, so that they cannot disagree.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import Any, TypeVar

from coordination.access.models import Assignment, Membership, Project
from coordination.evidence.outcomes import Shown
from coordination.evidence.queries import shown_for_projects
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
from coordination.projects.queries import UNITS_FACT, units_from
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


def load(projects: Iterable[Project], today: Callable[[Project], date] | date) -> dict[int, Holding]:
    """By the project's own key. ``today`` is each project's local date."""
    every = list(projects)
    found = {row.pk: Holding(row, today if isinstance(today, date) else today(row)) for row in every}
    _load_plan(found)
    _load_decisions(found)
    _load_people(found)
    _load_shown(found, every)
    return found


def _load_plan(found: Mapping[int, Holding]) -> None:
    keys = list(found)
    for task in Task.objects.filter(project__in=keys).order_by("place_order", "key"):
        found[task.project_id].tasks.append(task)
    home = {task.pk: holding for holding in found.values() for task in holding.tasks}
    live = {"retired_in__isnull": True}
    _spread(
        home,
        "requirements",
        "task_id",
        Requirement.objects.filter(task__project__in=keys, **live).order_by("order", "key"),
    )
    _spread(home, "links", "before_id", Link.objects.filter(before__project__in=keys, **live).order_by("pk"))
    _spread(home, "gates", "task_id", Gate.objects.filter(task__project__in=keys).order_by("order", "key"))
    gates = {gate.pk: holding for holding in found.values() for gate in holding.gates}
    conditions = Condition.objects.filter(gate__task__project__in=keys, **live).order_by("kind", "subject")
    _spread(gates, "conditions", "gate_id", conditions)
    projects = dict(found)
    _spread(projects, "questions", "project_id", Question.objects.filter(project__in=keys, **live))
    _spread(
        projects,
        "changes",
        "project_id",
        PlanChange.objects.filter(project__in=keys, state__in=["open", "replaced"])
        .defer("derived", "summary")
        .select_related("event"),
    )
    _spread(
        projects,
        "revisions",
        "project_id",
        PlanRevision.objects.filter(project__in=keys)
        .defer("derived")
        .select_related("event")
        .order_by("number"),
    )
    _spread(
        projects,
        "entries",
        "project_id",
        FactEntry.objects.filter(project__in=keys).select_related("event").order_by("seq", "pk"),
    )
    _spread(projects, "calendars", "project_id", Calendar.objects.filter(project__in=keys))


def _load_decisions(found: Mapping[int, Holding]) -> None:
    keys = list(found)
    tasks = {task.pk: holding for holding in found.values() for task in holding.tasks}
    gates = {gate.pk: holding for holding in found.values() for gate in holding.gates}
    _spread(tasks, "offers", "task_id", Offer.objects.filter(task__project__in=keys).order_by("round"))
    offers = {offer.pk: holding for holding in found.values() for offer in holding.offers}
    _spread(
        offers, "answers", "offer_id", Answer.objects.filter(offer__task__project__in=keys).order_by("pk")
    )
    clearings = (
        Clearing.objects.filter(gate__task__project__in=keys).defer("snapshot").select_related("event")
    )
    _spread(gates, "clearings", "gate_id", clearings.order_by("round"))
    _spread(
        gates, "signatures", "gate_id", Signature.objects.filter(gate__task__project__in=keys).order_by("pk")
    )
    needs = {row.pk: holding for holding in found.values() for row in holding.requirements}
    concessions = Concession.objects.filter(requirement__task__project__in=keys)
    papers = concessions.select_related("variance__blob").order_by("pk")
    _spread(needs, "concessions", "requirement_id", papers)
    granted = {row.pk: holding for holding in found.values() for row in holding.concessions}
    voices = Voice.objects.filter(concession__requirement__task__project__in=keys).order_by("pk")
    _spread(granted, "voices", "concession_id", voices)


def _load_people(found: Mapping[int, Holding]) -> None:
    keys, projects = list(found), dict(found)
    assigned = Assignment.objects.filter(project__in=keys, ended_at__isnull=True).select_related("company")
    _spread(projects, "assignments", "project_id", assigned)
    members = Membership.objects.filter(project__in=keys, left_at__isnull=True)
    _spread(
        projects,
        "memberships",
        "project_id",
        members.select_related("person", "company").order_by("deputy", "pk"),
    )
    _spread(
        projects, "authorities", "project_id", Authority.objects.filter(project__in=keys).order_by("kind")
    )


def _load_shown(found: Mapping[int, Holding], projects: Sequence[Project]) -> None:
    home = {row.pk: holding for holding in found.values() for row in holding.requirements}
    requirements = [row for holding in found.values() for row in holding.requirements]
    for pk, shown in shown_for_projects(projects, requirements).items():
        home[pk].shown[pk] = shown


def _spread(home: Mapping[int, Holding], name: str, key: str, rows: Iterable[Any]) -> None:
    """Give each row to its project's holding. A row whose owner was left out is left out too."""
    for row in rows:
        if (holding := home.get(getattr(row, key))) is not None:
            getattr(holding, name).append(row)


def _grouped(rows: Iterable[Row], key: Callable[[Row], int]) -> Mapping[int, list[Row]]:
    found: defaultdict[int, list[Row]] = defaultdict(list)
    for row in rows:
        found[key(row)].append(row)
    return found
