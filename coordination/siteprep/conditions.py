"""Conditions over site facts in three values: true, false, unknown (Kleene's strong logic).

A condition is a line such as ``sprinkler.pit and not fire_alarm.panel``, ``hoistway.rating >= 1``,
``machine_room.place == 'remote'``, ``machine_room.distance > '20 ft'``, ``pit.depth < lift.pit_least``
or ``any landing.*.rear``. Its answer carries the facts that made it unknown, so that somebody can be asked.
"""

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import reduce
from typing import Protocol

Number = int | float
Scalar = bool | int | float | str | None


@dataclass(frozen=True)
class Truth:
    """True, False or, with value None, unknown because of ``unknown`` fact keys."""

    value: bool | None
    unknown: frozenset[str] = frozenset()


TRUE = Truth(True)
FALSE = Truth(False)


class Readable(Protocol):
    """What a condition reads: the value of a fact, None while unknown, and the landings."""

    @property
    def landings(self) -> tuple[str, ...]: ...

    def value(self, key: str) -> object: ...


class ConditionError(ValueError):
    """A line that is no condition."""


def both(one: Truth, other: Truth) -> Truth:
    """Return one AND other: false if either is, whatever the other may turn out to be."""
    if one.value is False or other.value is False:
        return FALSE
    if one.value is None or other.value is None:
        return Truth(None, one.unknown | other.unknown)
    return TRUE


def either(one: Truth, other: Truth) -> Truth:
    """Return one OR other: true if either is, whatever the other may turn out to be."""
    if one.value is True or other.value is True:
        return TRUE
    if one.value is None or other.value is None:
        return Truth(None, one.unknown | other.unknown)
    return FALSE


def opposite(one: Truth) -> Truth:
    """Return NOT one."""
    return one if one.value is None else Truth(not one.value)


class Condition(Protocol):
    """A parsed line."""

    def truth(self, facts: Readable) -> Truth:
        """Evaluate over ``facts``."""

    def at(self, landing: str) -> "Condition":
        """Put ``landing`` in the place of {landing}."""

    def comparisons(self) -> Iterator["Comparison"]:
        """Yield every comparison within, for checking against the facts that exist."""


@dataclass(frozen=True)
class Always:
    """True without looking."""

    def truth(self, facts: Readable) -> Truth:
        return TRUE

    def at(self, landing: str) -> "Condition":
        return self

    def comparisons(self) -> Iterator["Comparison"]:
        yield from ()


@dataclass(frozen=True)
class Comparison:
    """A fact against a literal, several literals, or another fact. ``key`` may hold ``*`` after ``any``."""

    key: str
    operator: str
    literals: tuple[Scalar, ...] = ()
    other: str = ""

    def truth(self, facts: Readable) -> Truth:
        keys = [self.key.replace("*", each) for each in facts.landings] if "*" in self.key else [self.key]
        return reduce(either, (self._one(key, facts) for key in keys))

    def at(self, landing: str) -> "Condition":
        return replace(
            self,
            key=self.key.replace("{landing}", landing),
            other=self.other.replace("{landing}", landing),
        )

    def comparisons(self) -> Iterator["Comparison"]:
        yield self

    def _one(self, key: str, facts: Readable) -> Truth:
        left = facts.value(key)
        rights = (facts.value(self.other),) if self.other else self.literals
        missing = {key} if left is None else set()
        if self.other and rights[0] is None:
            missing.add(self.other)
        if missing:
            return Truth(None, frozenset(missing))
        return Truth(any(OPERATORS[self.operator](left, right) for right in rights))


@dataclass(frozen=True)
class Not:
    """The opposite of one condition."""

    inner: Condition

    def truth(self, facts: Readable) -> Truth:
        return opposite(self.inner.truth(facts))

    def at(self, landing: str) -> "Condition":
        return Not(self.inner.at(landing))

    def comparisons(self) -> Iterator[Comparison]:
        yield from self.inner.comparisons()


@dataclass(frozen=True)
class Joined:
    """Several conditions joined by ``and`` or ``or``."""

    word: str
    parts: tuple[Condition, ...]

    def truth(self, facts: Readable) -> Truth:
        join = both if self.word == "and" else either
        return reduce(join, (part.truth(facts) for part in self.parts))

    def at(self, landing: str) -> "Condition":
        return Joined(self.word, tuple(part.at(landing) for part in self.parts))

    def comparisons(self) -> Iterator[Comparison]:
        for part in self.parts:
            yield from part.comparisons()


ALWAYS: Condition = Always()


def _numbers(compare: Callable[[Number, Number], bool]) -> Callable[[object, object], bool]:
    def check(left: object, right: object) -> bool:
        return isinstance(left, int | float) and isinstance(right, int | float) and compare(left, right)

    return check


OPERATORS: Mapping[str, Callable[[object, object], bool]] = {
    "==": lambda left, right: left == right,
    "!=": lambda left, right: left != right,
    "<": _numbers(lambda left, right: left < right),
    "<=": _numbers(lambda left, right: left <= right),
    ">": _numbers(lambda left, right: left > right),
    ">=": _numbers(lambda left, right: left >= right),
}


def keys(condition: Condition) -> Collection[str]:
    """Return every fact key the condition reads, ``*`` and ``{landing}`` still in them."""
    return {key for each in condition.comparisons() for key in (each.key, each.other) if key}
