"""A reading that is taken at several places, or over several days: its grid, and what is judged of it.

Values are in the stored unit of the requirement (lengths whole nanometres).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from coordination.siteprep.toml_tables import Text

Number = int | float
Cell = tuple[str, str]

# What of all the readings has to lie within the limits of the requirement.
JUDGED: Final = ("each", "least", "greatest", "mean", "difference", "out of plumb")
# Calculations that take a series.
FEEDS: Final = ("hoistway_survey", "concrete")


@dataclass(frozen=True)
class Mark:
    """A row or a column: a level, a line and wall, a point, a bond."""

    key: str
    text: Text


@dataclass(frozen=True)
class Series:
    """The grid. ``by_day``: there are no fixed rows, each is a day and hour, added as it is measured.

    ``judged`` says what the limits of the requirement are held against; ``feeds`` names a calculation.
    """

    rows: tuple[Mark, ...]
    columns: tuple[Mark, ...]
    judged: str
    feeds: str = ""
    by_day: bool = False

    def terms(self) -> dict[str, object]:
        """What somebody who accepts has agreed to: which readings, and what is judged. No wording."""
        return {
            "rows": [mark.key for mark in self.rows],
            "columns": [mark.key for mark in self.columns],
            "judged": self.judged,
            "by_day": self.by_day,
        }


def figure(judged: str, values: Mapping[Cell, Number]) -> Number | None:
    """The one figure that the limits are held against; None for ``each``, or where nothing was read.

    ``out of plumb`` is the greatest difference along one column, ``difference`` that among all readings. A mean of
    whole numbers is rounded to the nearest whole one, halves to even.
    """
    found = list(values.values())
    if not found or judged == "each":
        return None
    if judged == "mean":
        mean = sum(map(Fraction, found)) / len(found)
        return round(mean) if all(isinstance(each, int) for each in found) else float(mean)
    if judged == "out of plumb":
        return max(max(column) - min(column) for column in _columns(values).values())
    return {"least": min(found), "greatest": max(found), "difference": max(found) - min(found)}[judged]


def outside(
    judged: str, values: Mapping[Cell, Number], low: Number | None, high: Number | None
) -> frozenset[Cell]:
    """The cells that lie outside: by themselves, or, where differences are judged, too far from another one.

    A value exactly on a limit lies within. A mean has no cell that is outside by itself.
    """
    if judged == "mean":
        return frozenset()
    if judged in {"out of plumb", "difference"}:
        together = _columns(values) if judged == "out of plumb" else {"": list(values.values())}
        return frozenset(
            cell
            for cell, value in values.items()
            if high is not None
            and _farthest(value, together[cell[1] if judged == "out of plumb" else ""]) > high
        )
    return frozenset(
        cell
        for cell, value in values.items()
        if (low is not None and value < low) or (high is not None and value > high)
    )


def _columns(values: Mapping[Cell, Number]) -> dict[str, list[Number]]:
    found: dict[str, list[Number]] = {}
    for (_row, column), value in values.items():
        found.setdefault(column, []).append(value)
    return found


def _farthest(value: Number, others: Sequence[Number]) -> Number:
    return max(value - min(others), max(others) - value)


def series_from(told: Mapping[str, Any] | None) -> Series | None:
    """The series of a requirement's terms as they are kept in JSON; None where it is a single reading."""
    if not told:
        return None
    rows, columns = (
        tuple(Mark(mark["key"], dict(mark["text"])) for mark in told[side]) for side in ("rows", "columns")
    )
    return Series(rows, columns, told["judged"], told.get("feeds", ""), bool(told.get("by_day")))
