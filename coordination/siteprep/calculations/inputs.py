"""Typed inputs of the calculations, declared once: read from JSON, checked, and explained.

A calculation declares a frozen dataclass deriving from :class:`Inputs`; each field says its kind,
its unit, its limits and what it means. Lengths are whole nanometres and are written as text with a
unit ("14 in", "9' 4 1/2\\"", "2857 mm") or, with the key ``length_unit``, as plain numbers.
"""

import dataclasses
import datetime
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import MISSING, dataclass
from fractions import Fraction
from typing import Any, TypeVar

from coordination.siteprep.calculations.measures import LENGTHS, MeasureError, kept_unit, read_measure

I = TypeVar("I", bound="Inputs")  # noqa: E741

SMALLEST_BARE_LENGTH = 100_000


# Short names of choices, written without spaces and hyphens.
SHORT_NAMES: Mapping[str, str] = {
    "lu/la": "limited use",
    "lula": "limited use",
    "residence": "private residence",
    "residential": "private residence",
    "vpl": "enclosed platform",
    "sp": "southern pine",
    "syp": "southern pine",
    "dfl": "douglas fir-larch",
    "douglasfir": "douglas fir-larch",
    "hf": "hem-fir",
    "spf": "spruce-pine-fir",
    "spfs": "spruce-pine-fir south",
    "14ga": "14 gauge",
    "11ga": "11 gauge",
    "type1": "type I",
    "type3": "type III",
    "i": "type I",
    "iii": "type III",
    "arrhenius": "equivalent age",
    "timedelayfuse": "dual-element fuse",
    "dualelement": "dual-element fuse",
    "nontimedelay": "non-time-delay fuse",
    "breaker": "inverse-time breaker",
    "circuitbreaker": "inverse-time breaker",
}
YES_OR_NO: Mapping[str, bool] = {"yes": True, "true": True, "no": False, "false": False}


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with an input: the field, what is wrong, what would be right."""

    field: str
    wrong: str
    right: str

    def __str__(self) -> str:
        return f"{self.field}: {self.wrong}; {self.right}"


class InputErrors(ValueError):
    """Inputs that cannot be calculated with. ``problems`` names every one of them."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__("\n".join(map(str, problems)))
        self.problems = tuple(problems)


@dataclass(frozen=True, slots=True)
class Spec:
    """What one field takes. ``many`` is a list, ``of`` the record type, ``low``/``high`` inclusive limits."""

    kind: str
    help: str
    choices: tuple[str, ...] = ()
    low: int | Fraction | None = None
    high: int | Fraction | None = None
    many: bool = False
    of: type["Inputs"] | None = None
    least: int = 0


@dataclass(frozen=True, kw_only=True)
class Inputs:
    """Base of all inputs: checks limits and :meth:`cross_check` when made; raises InputErrors."""

    def __post_init__(self) -> None:
        problems = [
            p for name, spec, _ in specs(type(self)) for p in _limits(name, spec, getattr(self, name))
        ]
        if not problems:
            problems = list(self.cross_check())
        if problems:
            raise InputErrors(problems)

    def cross_check(self) -> Iterator[Problem]:
        """Problems between fields that are each right by themselves."""
        yield from ()


def declare(
    kind: str,
    help: str,
    *,
    default: Any = MISSING,
    unknown: bool = False,
    choices: tuple[str, ...] = (),
    low: int | Fraction | None = None,
    high: int | Fraction | None = None,
    many: bool = False,
    of: type[Inputs] | None = None,
    least: int = 0,
) -> Any:
    """Declare a field. ``unknown`` lets it be left out, or be null or "unknown" (None in Python)."""
    if unknown:
        default = None
    spec = Spec(kind, help, choices, low, high, many, of, least)
    return dataclasses.field(default=default, metadata={"spec": spec})


def specs(cls: type[Inputs]) -> list[tuple[str, Spec, Any]]:
    """Name, spec and default (MISSING when required) of every field of ``cls``, in order."""
    return [(f.name, f.metadata["spec"], f.default) for f in dataclasses.fields(cls)]


def read(cls: type[I], given: Mapping[str, object], length_unit: str = "", path: str = "") -> I:
    """Make ``cls`` from a mapping as JSON gives it. Raises InputErrors naming every bad field."""
    if not isinstance(given, Mapping):
        raise InputErrors([Problem(path or "input", "is not a mapping", "give an object with named fields")])
    given = dict(given)
    problems: list[Problem] = []
    if not path and "length_unit" in given:
        length_unit = str(given.pop("length_unit"))
        if length_unit not in LENGTHS:
            problems.append(
                Problem("length_unit", f"{length_unit!r} is not known", f"use {', '.join(LENGTHS)}")
            )
            length_unit = "in"
    known = {name: (spec, default) for name, spec, default in specs(cls)}
    for key in given.keys() - known.keys():
        problems.append(Problem(path + str(key), "is not an input here", f"use {', '.join(known)}"))
    taken: dict[str, object] = {}
    for name, (spec, default) in known.items():
        if name not in given or (default is None and given[name] in (None, "unknown")):
            if default is MISSING:
                problems.append(Problem(path + name, "is missing", f"give {spec.help}"))
            continue
        try:
            taken[name] = _read_field(path + name, spec, given[name], length_unit)
            problems.extend(_limits(path + name, spec, taken[name]))
        except InputErrors as error:
            problems.extend(error.problems)
    if problems:
        raise InputErrors(problems)
    try:
        return cls(**taken)
    except InputErrors as error:
        raise InputErrors([dataclasses.replace(p, field=path + p.field) for p in error.problems]) from None


def _read_field(field: str, spec: Spec, given: object, length_unit: str) -> object:
    if not spec.many:
        return _read_one(field, spec, given, length_unit)
    if isinstance(given, str) or not isinstance(given, Sequence):
        raise InputErrors([Problem(field, "is not a list", f"give a list: {spec.help}")])
    read_items: list[object] = []
    problems: list[Problem] = []
    for number, item in enumerate(given):
        try:
            read_items.append(_read_one(f"{field}[{number}]", spec, item, length_unit))
        except InputErrors as error:
            problems.extend(error.problems)
    if problems:
        raise InputErrors(problems)
    return tuple(read_items)


def _read_one(field: str, spec: Spec, given: object, length_unit: str) -> object:
    if spec.of is not None:
        return read(spec.of, given, length_unit, path=f"{field}.")  # type: ignore[arg-type]
    try:
        return _READERS.get(spec.kind, _measure)(spec, given, length_unit)
    except (MeasureError, ValueError) as error:
        raise InputErrors([Problem(field, f"{given!r}: {error}", _right(spec))]) from None


def _right(spec: Spec) -> str:
    if spec.kind == "choice":
        return f"use {', '.join(spec.choices)}"
    examples = {
        "length": 'write a length with its unit, such as "14 in", "9\' 4 1/2\\"" or "2857 mm"',
        "flag": "use true or false",
        "date": 'write a date as "2026-05-04"',
        "integer": "give a whole number",
        "text": "give a text",
        "temperature": 'write a temperature such as "70 F" or "21 C"',
    }
    if spec.kind in examples:
        return examples[spec.kind]
    return f"give a number in {kept_unit(spec.kind) or 'no unit'} or a text with its unit"


def _length(spec: Spec, given: object, length_unit: str) -> int:
    if isinstance(given, bool):
        raise MeasureError("is not a length")
    if isinstance(given, str):
        bare = given.strip()
        if length_unit and bare and not any(c.isalpha() or c in "'\"′″’”" for c in bare):
            return _whole(read_measure(bare, "number") * LENGTHS[length_unit])
        from coordination.siteprep.lengths import parse_length

        return parse_length(given)
    if length_unit and isinstance(given, int | float):
        return _whole(read_measure(given, "number") * LENGTHS[length_unit])
    if isinstance(given, int) and (given == 0 or abs(given) >= SMALLEST_BARE_LENGTH):
        return given
    raise MeasureError("has no unit")


def _whole(nanometres: Fraction) -> int:
    return round(nanometres)


def _choice(spec: Spec, given: object, length_unit: str) -> str:
    """One of the choices, as people write it: without regard to capitals, spaces, hyphens; by its short name."""
    if given in spec.choices:
        return str(given)
    if isinstance(given, str | int) and not isinstance(given, bool):
        written = _bare(str(given))
        meant = {written, _bare(SHORT_NAMES.get(written, written))}
        for choice in spec.choices:
            if _bare(choice) in meant:
                return choice
    raise MeasureError("is not one of the choices")


def _bare(text: str) -> str:
    bare = re.sub(r"[\s_#\"-]|awg|^iso", "", text.lower())
    return re.sub(r"(?<=\d)in(ch)?$", "", bare)


def _flag(spec: Spec, given: object, length_unit: str) -> bool:
    if isinstance(given, str) and given.strip().lower() in YES_OR_NO:
        return YES_OR_NO[given.strip().lower()]
    if not isinstance(given, bool):
        raise MeasureError("is neither true nor false")
    return given


def _integer(spec: Spec, given: object, length_unit: str) -> int:
    number = read_measure(given, "number")
    if number.denominator != 1:
        raise MeasureError("is not whole")
    return int(number)


def _text(spec: Spec, given: object, length_unit: str) -> str:
    if not isinstance(given, str) or not given.strip():
        raise MeasureError("is not a text")
    return given.strip()


def _date(spec: Spec, given: object, length_unit: str) -> datetime.date:
    if isinstance(given, datetime.date) and not isinstance(given, datetime.datetime):
        return given
    if not isinstance(given, str):
        raise MeasureError("is not a date")
    return datetime.date.fromisoformat(given)


def _measure(spec: Spec, given: object, length_unit: str) -> Fraction:
    return read_measure(given, spec.kind)


_READERS: Mapping[str, Any] = {
    "length": _length,
    "choice": _choice,
    "flag": _flag,
    "integer": _integer,
    "text": _text,
    "date": _date,
}


def _limits(name: str, spec: Spec, value: Any) -> Iterator[Problem]:
    if value is None or (spec.of is not None and not spec.many):
        return
    if spec.many:
        if len(value) < spec.least:
            yield Problem(name, f"has {len(value)} entries", f"give at least {spec.least}")
        if spec.of is None:
            one = dataclasses.replace(spec, many=False)
            for number, item in enumerate(value):
                yield from _limits(f"{name}[{number}]", one, item)
    elif spec.choices:
        if value not in spec.choices:
            yield Problem(name, f"{value!r} is not one of the choices", _right(spec))
    elif spec.low is not None and value < spec.low:
        yield Problem(name, f"{_shown(spec, value)} is too small", f"give at least {_shown(spec, spec.low)}")
    elif spec.high is not None and value > spec.high:
        yield Problem(name, f"{_shown(spec, value)} is too large", f"give at most {_shown(spec, spec.high)}")


def _shown(spec: Spec, value: int | Fraction) -> str:
    if spec.kind == "length":
        return f"{float(Fraction(value) / 25_400_000):g} in"
    unit = kept_unit(spec.kind) if spec.kind != "integer" else ""
    return f"{float(value):g} {unit}".strip()
