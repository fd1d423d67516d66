"""What a plan is made of: places, tasks with their requirements, links, gates, questions, quantities.

Plain frozen values. Lengths are nanometres, durations working days, lags working or calendar days.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from coordination.siteprep.series import Series
from coordination.siteprep.sources import Source
from coordination.siteprep.toml_tables import Text

RequirementKind = Literal["photo", "reading", "document", "signature"]
LinkKind = Literal["FS", "SS", "FF", "SF", "covers"]
ConditionKind = Literal[
    "task accepted",
    "requirement satisfied",
    "question answered",
    "document present",
    "gate cleared",
    "signature",
]
Number = int | float

ROLES = ("coordinator", "contractor", "subcontractor", "owner", "inspector", "lift crew")
AUTHORITIES = ("elevator", "building", "electrical", "fire", "plumbing")
ENGINEER = "engineer"
WITNESSES = (*ROLES, *AUTHORITIES, ENGINEER)
PLACE_KINDS = ("pit", "landing", "rail wall", "hoistway", "hoistway top", "machine room", "route", "site")
CALENDARS = ("site", "lift", "authority", "maker")
UNITS = (
    "length", "lux", "ohm", "volt", "ampere", "degree C", "psi", "day", "calendar day", "date", "count",
    "second", "force", "decibel", "percent",
)  # fmt: skip


@dataclass(frozen=True)
class Place:
    """Where in the building. An opening at the rear is a place of its own beside its landing."""

    key: str
    kind: str
    text: Text
    landing: str | None = None
    side: str = ""


@dataclass(frozen=True)
class Duration:
    """Working days: the tenth percentile, the most likely, the ninetieth percentile."""

    low: int
    likely: int
    high: int


@dataclass(frozen=True)
class Requirement:
    """What a task must show. ``low`` and ``high`` are inclusive and in the stored unit of ``unit``.

    ``concede`` names the roles that must all speak to let it go; ``release`` the authority whose own
    document alone releases it. A requirement with neither has no concession at all.
    ``because`` names the unknown facts that leave open whether it applies, or by which figure.
    ``signer`` is the role whose signature it is, for signatures only. ``series`` is the grid of a reading that is
    taken at several places or times; its limits are those of what the series says is judged. ``inspection`` says that
    the document is the written result of an inspection, which is passed or failed; a permit is not.
    """

    task: str
    key: str
    kind: RequirementKind
    text: Text
    source: Source
    stand: Text = field(default_factory=dict)
    authorised: bool = False
    unit: str = ""
    low: Number | None = None
    high: Number | None = None
    nominal: Number | None = None
    accepts: str | None = None
    deputy: str | None = None
    answer_hours: int = 0
    concede: tuple[str, ...] = ()
    release: str | None = None
    lift_critical: bool = False
    because: tuple[str, ...] = ()
    signer: str = ""
    series: Series | None = None
    inspection: bool = False

    @property
    def subject(self) -> str:
        """The requirement's own name in a plan, ``task#key``."""
        return f"{self.task}#{self.key}"

    def terms(self) -> dict[str, object]:
        """Return what somebody who accepts has agreed to: if any of it changes, it must be reviewed again.

        The wording and its translations are not among the terms; a different demand has a different key.
        """
        series = {"series": self.series.terms()} if self.series else {}
        return {
            **series,
            "kind": self.kind,
            "unit": self.unit,
            "low": self.low,
            "high": self.high,
            "nominal": self.nominal,
            "accepts": self.accepts,
            "concede": list(self.concede),
            "release": self.release,
            "authorised": self.authorised,
            "signer": self.signer,
            "lift_critical": self.lift_critical,
        }


@dataclass(frozen=True)
class WitnessPoint:
    """Where a party is told beforehand and may attend; work goes on whether or not it comes.

    ``party`` is a role, an authority or the engineer of record; ``notice_days`` working days of the site, where no
    authority says otherwise.
    """

    key: str
    party: str
    text: Text
    source: Source
    notice_days: int = 2


@dataclass(frozen=True)
class Task:
    """One trade's piece of work at one place. ``key`` is ``entry@place``.

    ``because`` names the unknown facts that make it provisional. ``milestone_of`` is the gate whose
    zero-day milestone this is.
    """

    key: str
    entry: str
    place: str
    package: str
    trade: str
    text: Text
    first_line: Text
    duration: Duration
    calendar: str
    requirements: tuple[Requirement, ...] = ()
    cautions: tuple[str, ...] = ()
    sources: tuple[Source, ...] = ()
    provisional: bool = False
    because: tuple[str, ...] = ()
    milestone_of: str | None = None
    was: tuple[str, ...] = ()
    witness: tuple[WitnessPoint, ...] = ()


@dataclass(frozen=True)
class Link:
    """A predecessor relation. ``covers`` hides the work of ``before`` and counts as FS in the dates."""

    before: str
    after: str
    kind: LinkKind = "FS"
    lag: int = 0
    unit: Literal["working", "calendar"] = "working"
    handoff: bool = False
    receiver_note: Text = field(default_factory=dict)

    @property
    def key(self) -> tuple[str, str, str]:
        """What tells this link from the others."""
        return (self.before, self.after, self.kind)


@dataclass(frozen=True)
class Condition:
    """One thing a gate waits for. ``subject`` is a task, ``task#requirement``, fact, gate or role by ``kind``."""

    kind: ConditionKind
    subject: str


@dataclass(frozen=True)
class Gate:
    """A hold point. ``clears`` is the role that clears it after the ``signers`` have signed."""

    key: str
    text: Text
    conditions: tuple[Condition, ...]
    signers: tuple[str, ...]
    clears: str
    task: str
    cautions: tuple[str, ...] = ()
    sources: tuple[Source, ...] = ()


@dataclass(frozen=True)
class Question:
    """An unknown fact that work depends on, who decides it, and how to go on cheaply before the answer."""

    fact: str
    text: Text
    decides: str
    tasks: tuple[str, ...]
    safe_default: Text | None = None
    readings: tuple[Text, ...] = ()


@dataclass(frozen=True)
class Quantity:
    """A figure worked out for this job, with its source. Lengths are nanometres (unit "length")."""

    key: str
    place: str
    value: Number
    unit: str
    text: Text
    source: Source


@dataclass(frozen=True)
class Finding:
    """Two stated figures that do not fit each other, or a limit that is touched; nobody is stopped by it."""

    key: str
    text: Text
    facts: tuple[str, ...]
    source: Source


@dataclass(frozen=True)
class Package:
    """One of about a dozen bundles of tasks that the general contractor sees first."""

    key: str
    text: Text
    order: int


@dataclass(frozen=True)
class Plan:
    """Everything that follows from the facts of one job and one catalogue."""

    places: tuple[Place, ...]
    tasks: tuple[Task, ...]
    links: tuple[Link, ...]
    gates: tuple[Gate, ...]
    questions: tuple[Question, ...]
    quantities: tuple[Quantity, ...]
    packages: tuple[Package, ...]
    code_set: str
    catalogue_sha: str
    findings: tuple[Finding, ...] = ()
    drawing_revision: str = ""
    cautions: Mapping[str, Text] = field(default_factory=dict)

    def task(self, key: str) -> Task:
        """Return the task with ``key``. Raises KeyError."""
        for task in self.tasks:
            if task.key == key:
                return task
        raise KeyError(key)

    @property
    def handoffs(self) -> tuple[Link, ...]:
        """The links at which the receiving trade accepts or refuses what it gets."""
        return tuple(link for link in self.links if link.handoff)

    def network_links(self) -> tuple[tuple[str, str, str, int, str], ...]:
        """Return the links ready for a network: (before, after, FS/SS/FF/SF, lag, unit); covers counts as FS."""
        return tuple(
            (link.before, link.after, "FS" if link.kind == "covers" else link.kind, link.lag, link.unit)
            for link in self.links
        )

    def as_json(self) -> str:
        """Return the plan as canonical JSON: the same plan is the same text, and ``plan_from_json`` reads it."""
        return json.dumps(self, default=vars, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
