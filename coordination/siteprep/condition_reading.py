"""Reading the line of a condition by recursive descent: or, and, not, comparison."""

import re
from collections.abc import Callable, Mapping

from coordination.siteprep.conditions import (
    ALWAYS,
    OPERATORS,
    Comparison,
    Condition,
    ConditionError,
    Joined,
    Not,
    Scalar,
)


def parse_condition(
    line: str,
    literal: Callable[[str, str], Scalar] | None = None,
    named: Mapping[str, Condition] | None = None,
) -> Condition:
    """Return the condition that ``line`` states; an empty line is always true.

    ``literal(key, text)`` turns a quoted text compared with the fact ``key`` into its stored value,
    and may raise ConditionError. ``named`` holds conditions that have a name of their own, to be used
    as a word. Raises ConditionError where the line is no condition.
    """
    if not line.strip():
        return ALWAYS
    reader = _Reader(line, literal or (lambda key, text: text), named or {})
    found = reader.alternatives()
    reader.expect_end()
    return found


_TOKEN = re.compile(
    r"\s*(?:(?P<text>'[^']*')|(?P<number>-?\d+(?:\.\d+)?)(?![\w.])|(?P<sign><=|>=|==|!=|<|>|\(|\)|,)"
    r"|(?P<name>[A-Za-z_][\w.{}*]*))"
)
KEYWORDS = ("and", "or", "not", "in", "any")


class _Reader:
    """A reader of one line by recursive descent: or, and, not, comparison."""

    def __init__(
        self, line: str, literal: Callable[[str, str], Scalar], named: Mapping[str, Condition]
    ) -> None:
        self._line = line
        self._literal = literal
        self._named = named
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
        if self._peek() in self._named:
            self._next += 1
            return self._named[self._tokens[self._next - 1]]
        many = self._taken("any")
        return self._comparison(many)

    def _comparison(self, many: bool) -> Comparison:
        key = self._name()
        if many != ("*" in key):
            raise self._error("'any' goes with '*' in a key, and only with it")
        sign = self._peek()
        if sign in OPERATORS:
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
        if not re.match(r"[A-Za-z_]", token) or token in KEYWORDS:
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
