"""Labels, limits, defaults and corrections of a calculation's fields, in the reader's words and units."""

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from django.utils.formats import localize
from django.utils.translation import gettext as _

from coordination.projects.trade_words import in_words_of
from coordination.siteprep.calculations.inputs import Spec
from coordination.siteprep.calculations.measures import UNITS, kept_unit
from coordination.siteprep.lengths import format_length
from coordination.web.shapes.calculation_result_words import UNITS as UNIT_WORDS
from coordination.web.shapes.calculation_words import CHOICES, FIELDS, TITLES

DIGITS = re.compile(r"\.\d+(?=\.|$)")


def title_of(name: str, code_set: str) -> tuple[str, str]:
    """What a calculation is called, and what it does."""
    title, about = TITLES[name]
    return in_words_of(code_set, str(title)), in_words_of(code_set, str(about))


def words_of(name: str, path: str, code_set: str) -> tuple[str, str]:
    """Label and meaning of a field; the meaning is left out where it says no more than the label."""
    label, meaning = (in_words_of(code_set, str(text)) for text in FIELDS[name][DIGITS.sub("", path)])
    return label, "" if meaning.rstrip(".").casefold() == label.casefold() else meaning


def choice_words(choice: str, code_set: str) -> str:
    """A choice in words; sizes, grades and editions stand as they are."""
    return in_words_of(code_set, str(CHOICES[choice])) if choice in CHOICES else choice


def limits_words(spec: Spec, system: str, *, with_unit: bool = False) -> str:
    """What the value must lie between, with the unit in which plain numbers are taken."""
    low, high = (shown_limit(spec, limit, system) for limit in (spec.low, spec.high))
    if low and high:
        words = _("%(low)s to %(high)s") % {"low": low, "high": high}
    elif low or high:
        words = _("at most %(limit)s") % {"limit": high} if high else _("at least %(limit)s") % {"limit": low}
    else:
        words = ""
    if not with_unit or spec.kind == "length":
        return (
            words
            if not spec.many or not with_unit
            else ", ".join(filter(None, [words, _("one on each line")]))
        )
    unit = unit_of(spec)
    parts = [unit, words, _("one on each line") if spec.many and not spec.choices else ""]
    return ", ".join(part for part in parts if part)


def unit_of(spec: Spec) -> str:
    """The unit that a plain number is taken in, with the others that may be written."""
    if spec.kind == "temperature":
        return _("°C, or written with F")
    if spec.kind == "age":
        return _("with its unit: 7 d, 168 h")
    if spec.kind not in UNITS:
        return ""
    kept = kept_unit(spec.kind)
    others = [unit for unit in UNITS[spec.kind] if unit.isascii()][1:3]
    named = str(UNIT_WORDS.get(kept, kept))
    return (
        _("%(unit)s, or written with %(others)s") % {"unit": named, "others": ", ".join(others)}
        if others
        else named
    )


def shown_limit(spec: Spec, limit: int | Fraction | None, system: str) -> str:
    """A limit with its unit; a nought that only forbids negative numbers is not worth saying."""
    if limit is None or limit == 0:
        return ""
    if spec.kind == "length":
        return format_length(int(limit), _system(system)) if abs(limit) >= 1_000_000 else _("more than 0")
    number = int(limit) if Fraction(limit).denominator == 1 else float(limit)
    return str(localize(number))


def shown_default(spec: Spec, default: Any, system: str, code_set: str) -> str:
    """What counts where nothing is typed; empty where that is nothing."""
    if default is None or not isinstance(default, bool | int | float | str | Fraction | tuple | list):
        return ""
    if isinstance(default, tuple | list):
        return _listed([shown_default(spec, item, system, code_set) for item in default])
    if isinstance(default, bool):
        return _("yes") if default else _("no")
    if isinstance(default, str):
        return choice_words(default, code_set)
    if spec.kind == "length":
        return format_length(int(default), _system(system))
    number = int(default) if Fraction(default).denominator == 1 else float(default)
    unit = "" if spec.kind in {"integer", "number"} else f" {kept_unit(spec.kind)}"
    return f"{localize(number)}{unit}"


def right_words(spec: Spec) -> str:
    """What would be right, for a text that cannot be read."""
    right = {
        "choice": _("Choose one of the list."),
        "length": _("This is no length with a unit. Write it like 9' 4 1/2\", 14 in or 2857 mm."),
        "flag": _("Choose yes or no."),
        "date": _("Write the day like 2026-05-04."),
        "integer": _("Write a whole number."),
        "text": _("Write a name or a few words."),
        "temperature": _("Write a temperature like 70 F or 21 C."),
        "age": _("Write the age with its unit, like 7 d or 168 h."),
    }
    if spec.kind in right:
        return right[spec.kind]
    known = ", ".join(UNITS[spec.kind])
    return (
        _("Write a number, plain or with one of these units: %(known)s.") % {"known": known}
        if known
        else _("Write a number.")
    )


def _listed(words: Sequence[str]) -> str:
    return ", ".join(word for word in words if word)


def _system(system: str) -> Any:
    return "metric" if system == "metric" else "us"
