"""Site facts: what is known of the building and the lift, and what is not.

Each fact is known, assumed or unknown. Lengths are nanometres; other numbers are in the stored
unit of their kind (``units.STORED``) or the unit of their definition.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal

from coordination.siteprep.toml_tables import Text

State = Literal["known", "assumed", "unknown"]
Value = bool | int | float | str | date | tuple[str, ...] | tuple[int, ...]

STATES: tuple[State, ...] = ("known", "assumed", "unknown")
WALLS = ("front", "rear", "left", "right")
AUTHORITIES = ("elevator", "building", "electrical", "fire", "plumbing")
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


@dataclass(frozen=True)
class FactDefinition:
    """One fact that can be asked: its kind, its range, its words, and who decides it.

    ``low`` and ``high`` are in the stored unit. ``default`` is reckoned with while the fact is
    unknown. ``safe_default`` says how to go on cheaply before the answer comes; ``readings``
    are the ways the codes can be read where they disagree.
    """

    key: str
    kind: str
    group: str
    text: Text
    question: Text
    decides: str
    help: Text = field(default_factory=dict)
    unit: str = ""
    choices: tuple[str | int, ...] = ()
    choice_texts: Mapping[str | int, Text] = field(default_factory=dict)
    choices_from: str = ""
    low: int | float | None = None
    high: int | float | None = None
    default: Value | None = None
    safe_default: Text = field(default_factory=dict)
    readings: tuple[Text, ...] = ()
    source: str = ""
    scope: str = "project"
    form: str = ""
    form_example: str = ""
    sheet: bool = False

    @property
    def answers(self) -> tuple[Value, ...]:
        """Every value the fact can have, where that is a short list; else nothing."""
        return (True, False) if self.kind == "flag" else self.choices


@dataclass(frozen=True)
class Group:
    """A part of the form, with the keys of its facts in order."""

    key: str
    text: Text
    facts: tuple[str, ...]


@dataclass(frozen=True)
class Fact:
    """What somebody said of one fact. An unknown fact has no value, the others have one."""

    key: str
    state: State
    value: Value | None = None
    typed: str = ""
    said_by: str = ""
    source: str = ""

    def __post_init__(self) -> None:
        if (self.state == "unknown") != (self.value is None):
            raise ValueError(f"{self.key}: unknown goes with no value, and only unknown does")


class Facts(Mapping[str, Fact]):
    """All facts of one job, in the order of the form. What nobody stated is unknown."""

    def __init__(self, stated: Iterable[Fact], definitions: Mapping[str, FactDefinition]) -> None:
        by_key = {fact.key: fact for fact in stated}
        self.definitions = definitions
        self._facts = {key: by_key.get(key) or Fact(key, "unknown") for key in definitions}

    def __getitem__(self, key: str) -> Fact:
        return self._facts[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._facts)

    def __len__(self) -> int:
        return len(self._facts)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Facts) and self._facts == other._facts

    def __hash__(self) -> int:
        return hash(tuple(self._facts.values()))

    def __repr__(self) -> str:
        return f"Facts({[fact for fact in self.values() if fact.state != 'unknown']!r})"

    def value(self, key: str) -> Value | None:
        """Return the value that was stated, known or assumed; None while unknown."""
        return self._facts[key].value

    def reckoned(self, key: str) -> Value | None:
        """Return the stated value, or the definition's default while unknown."""
        value = self._facts[key].value
        return self.definitions[key].default if value is None else value

    def length(self, key: str) -> int | None:
        """Return a stated length in nanometres, or the default reckoned with; None without either."""
        value = self.reckoned(key)
        return value if isinstance(value, int) and self.definitions[key].kind == "length" else None

    @property
    def landings(self) -> tuple[str, ...]:
        """The landings from the lowest up; the default while unknown."""
        return tuple(str(landing) for landing in as_tuple(self.reckoned("landings")))

    @property
    def units(self) -> Literal["us", "metric"]:
        """The unit system the trades of this job measure in."""
        return "metric" if self.reckoned("job.units") == "metric" else "us"

    @property
    def code_set(self) -> str:
        """The code set whose words the sheets use."""
        return str(self.reckoned("job.code_set"))

    def stating(self, fact: Fact) -> "Facts":
        """Return the same facts with ``fact`` in the place of what was said before. Nothing is checked."""
        if fact.key not in self._facts:
            raise KeyError(fact.key)
        return Facts([*(old for old in self.values() if old.key != fact.key), fact], self.definitions)

    def forgetting(self, key: str) -> "Facts":
        """Return the same facts with ``key`` unknown."""
        return self.stating(Fact(key, "unknown"))

    def statements(self) -> dict[str, dict[str, Any]]:
        """Return what was stated in a form that ``read_facts`` takes back, unknown facts left out."""
        return {
            fact.key: {
                "state": fact.state,
                "value": fact.typed,
                "said_by": fact.said_by,
                "source": fact.source,
            }
            for fact in self.values()
            if fact.state != "unknown"
        }


def as_tuple(value: Value | None) -> tuple[str | int, ...]:
    """Return ``value`` if it is a tuple, else nothing."""
    return value if isinstance(value, tuple) else ()
