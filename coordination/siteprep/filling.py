"""Filling a catalogue text with this job's words and figures, and noting which facts it had to do without."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import TypeVar

from coordination.siteprep.fact_types import WEEKDAYS, Facts
from coordination.siteprep.lengths import UnitSystem, format_length
from coordination.siteprep.placing import landing_text
from coordination.siteprep.plan_parts import Package, Place, Quantity
from coordination.siteprep.toml_tables import Text
from coordination.siteprep.units import as_read
from coordination.siteprep.wording import fill, words

# A word, the fact and its values under which the thing is not there, and the word for what is there instead.
_OTHERWISE = {
    "machine_room": ("machine_room.place", ("none",), "controller_place"),
    "rails_and_jack": ("lift.drive", ("traction", "screw"), "rails_and_buffers"),
}

_SIGNS = {"lux": "lx", "day": ""}

Worded = TypeVar("Worded", Quantity, Package)


@dataclass
class Filling:
    """Fills texts for one job at one place; ``unknown`` gathers the facts whose figures were wanting.

    ``leaning`` names for each quantity the unknown facts that it is left out for, or reckoned without.
    """

    facts: Facts
    figures: tuple[Quantity, ...]
    leaning: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    place: Place | None = None
    unknown: list[str] = field(default_factory=list)

    def at(self, place: Place) -> "Filling":
        """Return a filling for ``place`` with nothing gathered yet."""
        return Filling(self.facts, self.figures, self.leaning, place)

    def text(self, text: Text) -> dict[str, str]:
        """Return ``text`` with every field filled."""
        return fill(text, self.facts.code_set, self._answer)

    def worded(self, thing: Worded) -> Worded:
        """Return a quantity or package with its text filled."""
        return replace(thing, text=self.text(thing.text))

    def _answer(self, name: str, language: str) -> str | None:
        if self.place and self.place.landing and name.partition(".")[0] in ("landing", "side"):
            return self._of_place(name, self.place, language)
        if name in _OTHERWISE:
            return words(self.facts.code_set, language)[self._called(name)]
        if name.startswith("quantity."):
            return self._quantity(name.removeprefix("quantity."), language)
        return self._fact(name, language) if name in self.facts else None

    def _called(self, name: str) -> str:
        """Return the word for a thing that this job may not have, or the word for what it has instead."""
        key, values, other = _OTHERWISE[name]
        lift_class = self.facts.value("lift.class")
        return other if self.facts.value(key) in values and lift_class != "limited-use" else name

    def _of_place(self, name: str, place: Place, language: str) -> str | None:
        if name == "landing":
            return place.landing
        if name == "side":
            return words(self.facts.code_set, language)[place.side]
        if name == "landing.label":
            return landing_text(place.landing or "", self.facts).get(language, "")
        return self._fact(name.replace("landing.", f"landing.{place.landing}.", 1), language)

    def _fact(self, key: str, language: str) -> str:
        value = self.facts.reckoned(key)
        if self.facts.value(key) is None and key not in self.unknown:
            self.unknown.append(key)
        return self._not_known(language) if value is None else shown(self.facts, key, language)

    def figure(self, key: str) -> int | float | None:
        """Return the amount of a quantity at this place, or the first there is; None where there is none."""
        found = self._figures(key)
        return found[0].value if found else None

    def wanting(self, key: str) -> tuple[str, ...]:
        """Return the unknown facts that a quantity is left out for, or reckoned without."""
        return self.leaning.get(key, ())

    def _figures(self, key: str) -> list[Quantity]:
        found = [each for each in self.figures if each.key == key or each.key.startswith(f"{key}-")]
        landing = self.place.landing if self.place else None
        return [each for each in found if landing and each.place == f"landing-{landing}"] or found

    def _quantity(self, key: str, language: str) -> str:
        self.unknown += [each for each in self.wanting(key) if each not in self.unknown]
        amounts = [amount(each.value, each.unit, self.facts.units) for each in self._figures(key)]
        return _listed(amounts) or self._not_known(language)

    def _not_known(self, language: str) -> str:
        return words(self.facts.code_set, language)["not_known"]


def shown(facts: Facts, key: str, language: str = "en") -> str:
    """Return the value of a fact as a reader of the job's sheets sees it: units, choices in words."""
    definition, value = facts.definitions[key], facts.reckoned(key)
    known = words(facts.code_set, language)
    if isinstance(value, bool):
        return known["yes" if value else "no"]
    if definition.choices and isinstance(value, str | int):
        text = definition.choice_texts[value]
        return text.get(language, text["en"])
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple):
        return _listed(_member(definition.kind, each, facts, language) for each in value)
    return amount(value, definition.unit, facts.units) if isinstance(value, int | float) else str(value)


def amount(value: int | float, unit: str, system: str) -> str:
    """Return a number with its unit for a reader of ``system``: lengths exactly, others to three figures."""
    readers: UnitSystem = "metric" if system == "metric" else "us"
    if unit == "length":
        return format_length(int(value), readers)
    number, counted = as_read(value, unit, readers)
    if counted.startswith("degree "):
        return f"{number:.0f} °{counted[-1]}"
    return f"{_plain(number)} {_SIGNS.get(counted, counted)}".strip()


def _plain(number: float) -> str:
    return f"{number:,.0f}".replace(",", " ") if abs(number) >= 100 else f"{number:.3g}"


def _member(kind: str, each: str | int, facts: Facts, language: str) -> str:
    if kind == "days":
        return words(facts.code_set, language)[WEEKDAYS[int(each)]]
    return amount(int(each), "length", facts.units) if kind == "lengths" else str(each)


def _listed(parts: Iterable[str]) -> str:
    return ", ".join(parts)
