"""The rules as the catalogue holds them, before any facts: what tasks, gates and findings look like on file."""

from dataclasses import dataclass, field
from typing import Literal

from coordination.siteprep.conditions import ALWAYS, Condition
from coordination.siteprep.plan_parts import ConditionKind, Duration, LinkKind, Number, RequirementKind
from coordination.siteprep.series_reading import SeriesEntry
from coordination.siteprep.sources import Source
from coordination.siteprep.toml_tables import Text

Spread = Literal["", "landing", "opening"]


@dataclass(frozen=True)
class Bound:
    """A figure of a requirement or link: a number in the stored unit, or the fact or quantity it is read from."""

    number: Number | None = None
    fact: str = ""
    quantity: str = ""


@dataclass(frozen=True)
class RequirementEntry:
    """A requirement on file. ``minus`` and ``plus`` are the tolerance around ``nominal``, in the stored
    unit or, where ``relative``, as a share of it."""

    key: str
    kind: RequirementKind
    text: Text
    stand: Text
    source: Source
    when: Condition = ALWAYS
    authorised: bool = False
    unit: str = ""
    low: Bound = Bound()
    high: Bound = Bound()
    nominal: Bound = Bound()
    minus: float | None = None
    plus: float | None = None
    relative: bool = False
    accepts: str | None = None
    deputy: str | None = None
    answer_hours: int = 0
    concede: tuple[str, ...] = ()
    release: str | None = None
    lift_critical: bool = False
    signer: str = ""
    series: SeriesEntry | None = None
    inspection: bool = False


@dataclass(frozen=True)
class LinkEntry:
    """A predecessor on file: the entry waited for, by default at the same landing where both have one.

    ``sees`` are those requirements of it that the receiver of a handoff is shown first, in that order.
    """

    task: str
    kind: LinkKind = "FS"
    lag: Bound = Bound(0)
    unit: Literal["working", "calendar"] = "working"
    handoff: bool = False
    sees: tuple[str, ...] = ()
    note: Text = field(default_factory=dict)
    when: Condition = ALWAYS
    everywhere: bool = False


@dataclass(frozen=True)
class VariantEntry:
    """Other words for a task where ``when`` holds; an empty text leaves the task's own."""

    when: Condition
    text: Text = field(default_factory=dict)
    first_line: Text = field(default_factory=dict)


@dataclass(frozen=True)
class WitnessEntry:
    """A witness point on file."""

    key: str
    party: str
    text: Text
    source: Source
    notice_days: int = 2


@dataclass(frozen=True)
class TaskEntry:
    """A task on file. ``spread`` repeats it at every landing or opening; else it stands at ``place``."""

    entry: str
    place: str
    spread: Spread
    package: str
    trade: str
    calendar: str
    text: Text
    first_line: Text
    duration: Duration
    sources: tuple[Source, ...]
    when: Condition = ALWAYS
    requirements: tuple[RequirementEntry, ...] = ()
    links: tuple[LinkEntry, ...] = ()
    cautions: tuple[str, ...] = ()
    was: tuple[str, ...] = ()
    variants: tuple[VariantEntry, ...] = ()
    witness: tuple[WitnessEntry, ...] = ()
    template: str = ""
    file: str = ""


@dataclass(frozen=True)
class GateConditionEntry:
    """A gate condition on file; ``subject`` names an entry, ``entry#requirement``, fact or gate."""

    kind: ConditionKind
    subject: str
    when: Condition = ALWAYS


@dataclass(frozen=True)
class GateEntry:
    """A gate on file. ``opens`` names the entries that may not start before it is cleared."""

    key: str
    text: Text
    package: str
    conditions: tuple[GateConditionEntry, ...]
    opens: tuple[str, ...]
    signers: tuple[str, ...]
    clears: str
    sources: tuple[Source, ...]
    cautions: tuple[str, ...] = ()
    when: Condition = ALWAYS
    file: str = ""


@dataclass(frozen=True)
class FindingEntry:
    """Figures that do not fit each other, on file. Of a ``worked`` one, a calculation says when it is shown."""

    key: str
    text: Text
    when: Condition
    source: Source
    worked: bool = False


@dataclass(frozen=True)
class QuantityEntry:
    """The words and source of a figure that ``quantities`` works out."""

    key: str
    text: Text
    source: Source


@dataclass(frozen=True)
class TradeEntry:
    """A trade, the role that answers for it, and the calendar it works by."""

    key: str
    text: Text
    role: str
