"""Classes of lift: which drives they may have, and their limits by code set, from ``catalogue/classes.toml``.

Rises are nanometres, speeds m/s, areas m2, loads kg.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from coordination.siteprep.lengths import parse_length
from coordination.siteprep.sources import Source, own_sources
from coordination.siteprep.toml_tables import CATALOGUE_FOLDER, Table, read_toml
from coordination.siteprep.units import parse_quantity

SQUARE_FOOT = 0.09290304
CODE_SETS = ("us", "en")
_KINDS = {"rise": "length", "speed": "m/s", "area": "m2", "load": "kg"}


@dataclass(frozen=True)
class Limit:
    """The most a class allows. What was read from the code refuses; what rests on memory is only shown."""

    most: int | float
    unit: str
    source: Source


@dataclass(frozen=True)
class LiftClass:
    """One class under one code set. ``limits`` by "rise", "speed", "area", "load", as far as they are known."""

    key: str
    code_set: str
    drives: tuple[str, ...]
    limits: Mapping[str, Limit]


def class_of(lift_class: str, code_set: str) -> LiftClass | None:
    """Return a class under a code set; None where the set does not know it."""
    return _classes().get((lift_class, code_set))


def drives_of(lift_class: str) -> tuple[str, ...]:
    """Return the drives a class may have under any code set."""
    found = (each.drives for each in _classes().values() if each.key == lift_class)
    return tuple(dict.fromkeys(drive for drives in found for drive in drives))


@lru_cache(maxsize=1)
def _classes() -> dict[tuple[str, str], LiftClass]:
    file = Table("classes.toml", "classes.toml", read_toml(CATALOGUE_FOLDER / "classes.toml"))
    found = {}
    for table in file.tables("class"):
        key, code_set = table.word("key"), table.word("code_set", among=CODE_SETS)
        drives = table.words("drives")
        limits = {name: _limit(table, name) for name in _KINDS if table.has(name)}
        table.done()
        found[key, code_set] = LiftClass(key, code_set, drives, limits)
    file.done()
    return found


def _limit(owner: Table, name: str) -> Limit:
    table = Table(owner.file, f"{owner.entry} {name}", owner.take(name, dict))
    written, source = table.word("most"), table.word("source", among=own_sources())
    table.done()
    return Limit(_read(name, written), _KINDS[name], own_sources()[source])


def _read(name: str, written: str) -> int | float:
    if name == "rise":
        return parse_length(written)
    return parse_quantity({"speed": "speed", "area": "area", "load": "mass"}[name], written)
