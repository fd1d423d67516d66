"""Conditions over site facts in three values: true, false, unknown (Kleene's strong logic).

A condition is a line such as ``sprinkler.pit and not fire_alarm.panel``, ``hoistway.rating >= 1``,
``machine_room.place == 'remote'``, ``machine_room.distance > '20 ft'``, ``pit.depth < lift.pit_least``
or ``any landing.*.rear``. Its answer carries the facts that made it unknown, so that somebody can be asked.
"""

import re
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
        return Truth(any(_OPERATORS[self.operator](left, right) for right in rights))


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


def parse_condition(line: str, literal: Callable[[str, str], Scalar] | None = None) -> Condition:
    """Return the condition that ``line`` states; an empty line is always true.

    ``literal(key, text)`` turns a quoted text compared with the fact ``key`` into its stored value,
    and may raise ConditionError. Raises ConditionError where the line is no condition.
    """
    if not line.strip():
        return ALWAYS
    reader = _Reader(line, literal or (lambda key, text: text))
    found = reader.alternatives()
    reader.expect_end()
    return found


_TOKEN = re.compile(
    r"\s*(?:(?P<text>'[^']*')|(?P<number>-?\d+(?:\.\d+)?)(?![\w.])|(?P<sign><=|>=|==|!=|<|>|\(|\)|,)"
    r"|(?P<name>[A-Za-z_][\w.{}*]*))"
)
_KEYWORDS = ("and", "or", "not", "in", "any")


class _Reader:
    """A reader of one line by recursive descent: or, and, not, comparison."""

    def __init__(self, line: str, literal: Callable[[str, str], Scalar]) -> None:
        self._line = line
        self._literal = literal
        self._tokens = self._split(line)
        self._next = 0

    def alternatives(self) -> Condition:
        return self._joined("or", lambda: self._joined("and", self._negated))

    def expect_end(self) -> None:
        if self._peek():
            raise self._error(f"{self._peek()!r} is left over")

    def _joined(self, word: str, part: Callable[[], Condition]) -> Condition:
        parts = [part()]
        while self._taken(word):
            parts.append(part())
        return parts[0] if len(parts) == 1 else Joined(word, tuple(parts))

    def _negated(self) -> Condition:
        if self._taken("not"):
            return Not(self._negated())
        if self._taken("("):
            inner = self.alternatives()
            self._expect(")")
            return inner
        many = self._taken("any")
        return self._comparison(many)

    def _comparison(self, many: bool) -> Comparison:
        key = self._name()
        if many != ("*" in key):
            raise self._error("'any' goes with '*' in a key, and only with it")
        sign = self._peek()
        if sign in _OPERATORS:
            self._next += 1
            return self._right(key, sign)
        if self._taken("in"):
            return Comparison(key, "==", self._listed(key))
        return Comparison(key, "==", (True,))

    def _right(self, key: str, sign: str) -> Comparison:
        token = self._peek()
        if token[:1] == "'" or _is_number(token):
            return Comparison(key, sign, (self._scalar(key),))
        return Comparison(key, sign, other=self._name())

    def _listed(self, key: str) -> tuple[Scalar, ...]:
        self._expect("(")
        listed = [self._scalar(key)]
        while self._taken(","):
            listed.append(self._scalar(key))
        self._expect(")")
        return tuple(listed)

    def _scalar(self, key: str) -> Scalar:
        token = self._peek()
        self._next += 1
        if token[:1] == "'":
            return self._literal(key, token[1:-1])
        if _is_number(token):
            return float(token) if "." in token else int(token)
        raise self._error(f"{token!r} is neither a number nor a quoted text")

    def _name(self) -> str:
        token = self._peek()
        if not re.match(r"[A-Za-z_]", token) or token in _KEYWORDS:
            raise self._error(f"a fact is expected, not {token!r}")
        self._next += 1
        return token

    def _peek(self) -> str:
        return self._tokens[self._next] if self._next < len(self._tokens) else ""

    def _taken(self, token: str) -> bool:
        if self._peek() == token:
            self._next += 1
            return True
        return False

    def _expect(self, token: str) -> None:
        if not self._taken(token):
            raise self._error(f"{token!r} is expected, not {self._peek()!r}")

    def _split(self, line: str) -> list[str]:
        tokens, place = [], 0
        while line[place:].strip():
            found = _TOKEN.match(line, place)
            if found is None:
                raise self._error(f"cannot read {line[place:].strip()!r}")
            tokens.append(found[0].strip())
            place = found.end()
        return tokens

    def _error(self, reason: str) -> ConditionError:
        return ConditionError(f"{self._line!r}: {reason}")


def _is_number(token: str) -> bool:
    return bool(re.fullmatch(r"-?\d+(\.\d+)?", token))


def _numbers(compare: Callable[[Number, Number], bool]) -> Callable[[object, object], bool]:
    def check(left: object, right: object) -> bool:
        return isinstance(left, int | float) and isinstance(right, int | float) and compare(left, right)

    return check


_OPERATORS: Mapping[str, Callable[[object, object], bool]] = {
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
