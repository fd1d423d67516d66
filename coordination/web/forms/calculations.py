"""The form of a calculation, built from what it says of its inputs, and readable without script.

Fields are named by their path: ``door.width``, ``equipment.0.name``. What is typed is kept as text until it is
read: an empty field is left out, so that the calculation itself says what is unknown, usual or missing.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import MISSING, dataclass, field
from typing import Any

from django.http import QueryDict
from django.utils.translation import gettext as _

from coordination.siteprep.calculations.inputs import InputErrors, Inputs, Problem, Spec, specs
from coordination.siteprep.calculations.registry import Calculation
from coordination.web.shapes.calculation_fields import (
    choice_words,
    limits_words,
    right_words,
    shown_default,
    words_of,
)

MOST_ROWS = 60
# How the reader of inputs says that it could not read something; what does not fit together it says otherwise.
NOT_READ = re.compile(r"""^(?:'.*'|".*"|[^ ]+): """, re.S)
LENGTH_UNITS = ("", "in", "ft", "mm", "cm", "m")
Typed = dict[str, Any]


@dataclass
class Part:
    """One field, list of rows or group of a form. ``id`` is its name without dots; ``kind`` says how it is written."""

    name: str
    kind: str
    label: str
    help: str = ""
    unit: str = ""
    needed: bool = False
    value: str = ""
    choices: tuple[tuple[str, str, bool], ...] = ()
    parts: tuple["Part", ...] = ()
    rows: tuple["Part", ...] = ()
    may_be_none: bool = False
    ticked: bool = False
    errors: list[str] = field(default_factory=list)

    @property
    def id(self) -> str:
        return "field-" + self.name.replace(".", "-")

    @property
    def auto_id(self) -> str:
        """For components/errors.html."""
        return self.id

    @property
    def narrow(self) -> bool:
        """Whether its rows go into a table."""
        first = self.rows[0].parts if self.rows else ()
        return len(first) <= 5 and all(part.kind in {"text", "choice"} for part in first)

    def every(self) -> Iterator["Part"]:
        yield self
        for part in (*self.parts, *self.rows):
            yield from part.every()


class CalculationForm:
    """What was typed, as parts to write and as inputs to calculate with. Iterates over its fields like a form."""

    def __init__(self, calculation: Calculation, typed: Typed, code_set: str) -> None:
        self.calculation, self.typed, self.code_set = calculation, typed, code_set
        self.length_unit: str = typed.get("length_unit", "")
        self.non_field_errors: list[str] = []
        self.parts = tuple(self._parts(calculation.inputs, typed, ""))

    def __iter__(self) -> Iterator[Part]:
        for part in self.parts:
            yield from part.every()

    @property
    def errors(self) -> list[str]:
        return [*self.non_field_errors, *(error for part in self for error in part.errors)]

    @property
    def unit_choices(self) -> list[tuple[str, str, bool]]:
        words = {"": _("written with each length"), **{unit: unit for unit in LENGTH_UNITS[1:]}}
        return [(unit, words[unit], unit == self.length_unit) for unit in LENGTH_UNITS]

    def given(self) -> dict[str, Any]:
        """The inputs as the calculation reads them."""
        found = _given(self.calculation.inputs, self.typed)
        return {**found, "length_unit": self.length_unit} if self.length_unit else found

    def refuse(self, problems: Sequence[Problem] | InputErrors) -> None:
        """Say at each field what is wrong with it."""
        by_name = {part.name: part for part in self}
        for problem in problems.problems if isinstance(problems, InputErrors) else problems:
            name = problem.field.replace("[", ".").replace("]", "").rstrip(".")
            where = name
            while where and where not in by_name:
                where = where.rpartition(".")[0]
            if where in by_name:
                by_name[where].errors.append(self._sentence(problem, name))
            else:
                self.non_field_errors.append(self._sentence(problem, name))

    def _sentence(self, problem: Problem, name: str) -> str:
        spec = _spec_at(self.calculation.inputs, name)
        if spec is not None and problem.wrong == "is missing" and problem.right == f"give {spec.help}":
            return _("This is needed.")
        if spec is not None and problem.wrong.startswith("has ") and problem.wrong.endswith(" entries"):
            return _("Give at least %(number)d.") % {"number": spec.least}
        if spec is not None and problem.wrong.endswith(("is too small", "is too large")):
            return _("It must be %(limits)s.") % {
                "limits": limits_words(spec, self.system) or _("more than 0")
            }
        if spec is not None and NOT_READ.match(problem.wrong):
            return right_words(spec)
        return f"{problem.wrong[:1].upper()}{problem.wrong[1:]}; {problem.right}."

    @property
    def system(self) -> str:
        return "metric" if self.length_unit in {"mm", "cm", "m"} or self.code_set == "en" else "us"

    def _parts(self, cls: type[Inputs], typed: Mapping[str, Any], path: str) -> Iterator[Part]:
        for name, spec, default in specs(cls):
            yield self._part(path + name, name, spec, default, typed)

    def _part(self, path: str, name: str, spec: Spec, default: Any, typed: Mapping[str, Any]) -> Part:
        label, help_text = words_of(self.calculation.name, path, self.code_set)
        needed = default is MISSING
        part = Part(path, "text", label, help_text, needed=needed)
        part.may_be_none = spec.many and (default is None or (bool(spec.choices) and bool(default)))
        part.ticked = bool(typed.get(f"{name}:none"))
        if spec.of is not None:
            return self._nested(part, name, spec, default, typed)
        part.unit, standing = limits_words(spec, self.system, with_unit=True), typed.get(name, "")
        usual = shown_default(spec, default, self.system, self.code_set)
        if usual:
            part.help = " ".join(filter(None, [part.help, _("If left empty: %(usual)s.") % {"usual": usual}]))
        if spec.many and spec.choices:
            chosen = set(standing or ())
            part.kind = "ticks"
            part.choices = tuple((c, choice_words(c, self.code_set), c in chosen) for c in spec.choices)
        elif spec.choices or spec.kind == "flag":
            part.kind, part.choices = "choice", self._choices(spec, default, str(standing), usual)
        else:
            part.kind = "lines" if spec.many else "date" if spec.kind == "date" else "text"
            part.value = str(standing)
        return part

    def _choices(
        self, spec: Spec, default: Any, standing: str, usual: str
    ) -> tuple[tuple[str, str, bool], ...]:
        empty = _("choose") if default is MISSING else _("not known") if default is None else usual
        words = (
            {"yes": _("yes"), "no": _("no")}
            if spec.kind == "flag"
            else {choice: choice_words(choice, self.code_set) for choice in spec.choices}
        )
        return (("", f"({empty})", not standing), *((c, w, c == standing) for c, w in words.items()))

    def _nested(self, part: Part, name: str, spec: Spec, default: Any, typed: Mapping[str, Any]) -> Part:
        assert spec.of is not None  # noqa: S101 - the caller asked
        if not spec.many:
            part.kind = "group"
            part.may_be_none = default is None
            part.ticked = bool(typed.get(f"{name}:there"))
            part.parts = tuple(self._parts(spec.of, typed.get(name) or {}, part.name + "."))
            return part
        part.kind = "rows"
        part.rows = tuple(
            Part(
                f"{part.name}.{number}",
                "row",
                _("row %(number)d") % {"number": number + 1},
                parts=tuple(self._parts(spec.of, row, f"{part.name}.{number}.")),
            )
            for number, row in enumerate(typed.get(name) or ())
        )
        return part


def typed_from(calculation: Calculation, data: QueryDict) -> Typed:
    """What was posted, by path; rows that are empty throughout are left out when ``calculate`` was pressed."""
    unit = data.get("length_unit", "")
    typed = _typed(calculation.inputs, data, "")
    return {**typed, "length_unit": unit if unit in LENGTH_UNITS else ""}


def typed_from_given(calculation: Calculation, given: Mapping[str, Any]) -> Typed:
    """The same from inputs as JSON has them: the runnable example."""
    typed = _typed_given(calculation.inputs, given)
    return {**typed, "length_unit": str(given.get("length_unit", ""))}


def blank(calculation: Calculation) -> Typed:
    """An empty form, with one row where rows are needed and every tick that is usual."""
    typed: Typed = {}
    for name, spec, default in specs(calculation.inputs):
        if spec.many and spec.of is not None and default is MISSING:
            typed[name] = [{}]
        if spec.many and spec.choices and default not in (MISSING, None):
            typed[name] = list(default)
    return typed


def without_empty_rows(cls: type[Inputs], typed: Typed) -> Typed:
    """``typed`` without rows in which nothing is typed."""
    kept = dict(typed)
    for name, spec, _default in specs(cls):
        if spec.of is not None and spec.many and name in kept:
            rows = [without_empty_rows(spec.of, row) for row in kept[name]]
            kept[name] = [row for row in rows if not _is_empty(row)]
        elif spec.of is not None and isinstance(kept.get(name), dict):
            kept[name] = without_empty_rows(spec.of, kept[name])
    return kept


def with_row(cls: type[Inputs], typed: Typed, path: str) -> Typed:
    """``typed`` with an empty row more at ``path`` ("faces.0.openings"); unaltered where there is no such list."""
    if (rows := _rows_at(cls, typed, path)) is not None and len(rows) < MOST_ROWS:
        rows.append({})
    return typed


def without_row(cls: type[Inputs], typed: Typed, path: str) -> Typed:
    """``typed`` without the row at ``path`` ("faces.0")."""
    above, _dot, number = path.rpartition(".")
    rows = _rows_at(cls, typed, above)
    if rows is not None and number.isdecimal() and int(number) < len(rows):
        del rows[int(number)]
    return typed


def _rows_at(cls: type[Inputs], typed: Typed, path: str) -> list[Typed] | None:
    name, _dot, rest = path.partition(".")
    spec = next((spec for key, spec, _default in specs(cls) if key == name), None)
    if spec is None or spec.of is None:
        return None
    if not spec.many:
        return _rows_at(spec.of, typed.setdefault(name, {}), rest) if rest else None
    rows: list[Typed] = typed.setdefault(name, [])
    if not rest:
        return rows
    number, _dot, rest = rest.partition(".")
    inside = number.isdecimal() and int(number) < len(rows)
    return _rows_at(spec.of, rows[int(number)], rest) if inside and rest else None


def _typed(cls: type[Inputs], data: QueryDict, path: str) -> Typed:
    typed: Typed = {}
    for name, spec, _default in specs(cls):
        key = path + name
        if data.get(f"{key}:none"):
            typed[f"{name}:none"] = True
        if spec.of is None:
            typed[name] = data.getlist(key) if spec.many and spec.choices else data.get(key, "").strip()
        elif spec.many:
            count = data.get(f"{key}:rows", "0")
            number = min(int(count), MOST_ROWS) if count.isdecimal() and len(count) < 4 else 0
            typed[name] = [_typed(spec.of, data, f"{key}.{n}.") for n in range(number)]
        else:
            typed[name] = _typed(spec.of, data, f"{key}.")
            typed[f"{name}:there"] = bool(data.get(f"{key}:there"))
    return typed


def _typed_given(cls: type[Inputs], given: Mapping[str, Any]) -> Typed:
    typed: Typed = {}
    for name, spec, _default in specs(cls):
        value = given.get(name)
        if value is None or value == "unknown":
            continue
        if spec.of is None:
            typed[name] = _as_typed(spec, value)
        elif spec.many:
            typed[name] = [_typed_given(spec.of, row) for row in value]
        else:
            typed[name], typed[f"{name}:there"] = _typed_given(spec.of, value), True
        if spec.many and not value:
            typed[f"{name}:none"] = True
    return typed


def _as_typed(spec: Spec, value: Any) -> Any:
    if spec.many:
        return list(value) if spec.choices else "\n".join(str(item) for item in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def _given(cls: type[Inputs], typed: Mapping[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name, spec, default in specs(cls):
        value = typed.get(name)
        if typed.get(f"{name}:none"):
            found[name] = []
        elif spec.of is not None and spec.many:
            if value or default is MISSING:
                found[name] = [_given(spec.of, row) for row in value or ()]
        elif spec.of is not None:
            there = typed.get(f"{name}:there") or not _is_empty(value or {})
            if there or default is not None:
                found[name] = _given(spec.of, value or {})
        elif value:
            found[name] = _read(spec, value)
    return found


def _read(spec: Spec, value: Any) -> Any:
    """Text as JSON has it: yes and no as flags, a list of lines, a bare nought as a length."""
    if spec.many:
        items = value if isinstance(value, list) else value.replace(";", "\n").splitlines()
        return [_one(spec, item.strip()) for item in items if item.strip()]
    return _one(spec, value)


def _one(spec: Spec, value: str) -> Any:
    if spec.kind == "flag":
        return {"yes": True, "no": False}.get(value, value)
    return 0 if spec.kind == "length" and value == "0" else value


def _is_empty(typed: Mapping[str, Any]) -> bool:
    return all(
        all(_is_empty(row) for row in value)
        if isinstance(value, list) and value and isinstance(value[0], dict)
        else _is_empty(value)
        if isinstance(value, dict)
        else not value
        for value in typed.values()
    )


def _spec_at(cls: type[Inputs], name: str) -> Spec | None:
    """The spec of the field at a path; numbers of rows and entries are passed over."""
    spec = None
    for step in (step for step in name.split(".") if not step.isdecimal()):
        if spec is not None:
            if spec.of is None:
                return None
            cls = spec.of
        spec = next((each for key, each, _default in specs(cls) if key == step), None)
        if spec is None:
            return None
    return spec
