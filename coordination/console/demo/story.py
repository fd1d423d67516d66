"""What a job of the demo does otherwise than planned: written down first, played by ``playing``."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from coordination.console.demo.turns import Turn
from coordination.gates.actions.inspecting import ItemWish


@dataclass(frozen=True)
class Marking:
    """A mark that the reviewer puts on the refused photo; points as ``evidence.Mark`` has them."""

    kind: str
    points: tuple[tuple[int, int], tuple[int, int]]
    words: str


@dataclass(frozen=True)
class Refusal:
    """A reviewer refuses one requirement the first time, with reasons; the sender's first photo was spoiled.

    Each of ``marks`` is put on that photo and is one more reason.
    """

    requirement: str
    reasons: tuple[str, ...]
    marks: tuple[Marking, ...] = ()


@dataclass(frozen=True)
class Document:
    """What an authority (by its kind) lets go in writing: the number on it, and ``days`` since its date."""

    authority: str
    number: str
    days: int


@dataclass(frozen=True)
class Letting:
    """A reading that comes out wrong and is let go by those who may; where nobody may, by an authority's document."""

    requirement: str
    typed: str
    reason: str
    scope: str
    quantity: str = ""
    document: Document | None = None


@dataclass(frozen=True)
class Failing:
    """An inspection that is failed the first time, with what was not passed; it comes again ``days`` later."""

    requirement: str
    number: str
    items: tuple[ItemWish, ...]
    days: int


@dataclass(frozen=True)
class Answering:
    """An open question that is settled when a task begins."""

    fact: str
    typed: str
    when_begins: str
    said_by: str
    source: str


@dataclass(frozen=True)
class Story:
    """What goes otherwise than planned, and where it stops."""

    refusals: tuple[Refusal, ...] = ()
    lettings: tuple[Letting, ...] = ()
    answers: tuple[Answering, ...] = ()
    failings: tuple[Failing, ...] = ()
    turns: tuple[Turn, ...] = ()
    never_retaken: frozenset[str] = frozenset()
    never_answered: frozenset[str] = frozenset()
    never_begun: frozenset[str] = frozenset()
    permits: Mapping[str, str] = field(default_factory=dict)
