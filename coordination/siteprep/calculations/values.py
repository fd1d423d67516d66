"""Values with unit, source and status: what every calculation takes its numbers from and gives back.

Lengths are whole nanometres and carry the unit "length"; every other unit is written out.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Annotated, Literal

from coordination.siteprep.sources import Source

__all__ = [
    "Finding",
    "Nanometres",
    "OutOfTable",
    "Source",
    "Value",
    "at_least",
    "at_most",
    "feet",
    "holds",
    "inches",
    "millimetres",
    "outcome",
]

Outcome = Literal["met", "not met", "warning", "unknown"]
# A bare length in a result; shown in several units by the output module.
Nanometres = Annotated[int, "length"]
Amount = int | float | str | bool | Fraction | None

NANOMETRES_PER_INCH = 25_400_000
NANOMETRES_PER_FOOT = 12 * NANOMETRES_PER_INCH
NANOMETRES_PER_MILLIMETRE = 1_000_000


def inches(amount: int | float | str | Fraction) -> int:
    """Nanometres in ``amount`` inches, given as a number or as text of a fraction (``"3/4"``).

    Raises ValueError when the length is not a whole number of nanometres.
    """
    exact = Fraction(str(amount)) * NANOMETRES_PER_INCH
    if exact.denominator != 1:
        raise ValueError(f"{amount} in is not a whole number of nanometres")
    return int(exact)


def feet(amount: int | float | str | Fraction) -> int:
    """Nanometres in ``amount`` feet. Raises ValueError like :func:`inches`."""
    return inches(12 * Fraction(str(amount)))


def millimetres(amount: int | float | str | Fraction) -> int:
    """Nanometres in ``amount`` millimetres, rounded to the nearest nanometre."""
    return round(Fraction(str(amount)) * NANOMETRES_PER_MILLIMETRE)


@dataclass(frozen=True, slots=True)
class Value:
    """One amount with its unit and source. An amount of None means unknown."""

    amount: Amount
    unit: str
    source: Source


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing checked: what was found, against which limit, with which result.

    ``key`` names the check and ``subject`` the thing it was made on; both are keys, not sentences.
    ``missing`` lists the inputs without which the outcome is unknown.
    """

    key: str
    outcome: Outcome
    source: Source
    subject: str = ""
    found: Amount = None
    limit: Amount = None
    unit: str = ""
    missing: tuple[str, ...] = ()
    arguments: Mapping[str, Amount] = field(default_factory=dict)


class OutOfTable(LookupError):
    """A value was asked for outside the rows of a published table; nothing is extrapolated."""

    def __init__(self, table: str, asked: str, covers: str) -> None:
        """``asked`` is what was looked up, ``covers`` what the table holds."""
        super().__init__(f"{table} has no entry for {asked}; it covers {covers}. Nothing is extrapolated.")
        self.table = table
        self.asked = asked
        self.covers = covers


def outcome(met: bool | None) -> Outcome:
    """The outcome of a claim: "met", "not met", or "unknown" for None."""
    return "unknown" if met is None else "met" if met else "not met"


def at_most(
    key: str, found: Amount, limit: Amount, unit: str, source: Source, *, missing: str, subject: str = ""
) -> Finding:
    """Check that ``found`` is not above ``limit``; equal is met. An unknown ``found`` stays unknown."""
    return _compared(Finding(key, "unknown", source, subject, found, limit, unit, (missing,)), upper=True)


def at_least(
    key: str, found: Amount, limit: Amount, unit: str, source: Source, *, missing: str, subject: str = ""
) -> Finding:
    """Check that ``found`` is not below ``limit``; equal is met. An unknown ``found`` stays unknown."""
    return _compared(Finding(key, "unknown", source, subject, found, limit, unit, (missing,)), upper=False)


def holds(key: str, found: bool | None, source: Source, *, missing: str, subject: str = "") -> Finding:
    """Check that a claim is true. An unknown claim stays unknown."""
    if found is None:
        return Finding(key, "unknown", source, subject, None, True, "", (missing,))
    return Finding(key, "met" if found else "not met", source, subject, found, True)


def _compared(open_finding: Finding, *, upper: bool) -> Finding:
    found, limit = open_finding.found, open_finding.limit
    if found is None:
        return open_finding
    if isinstance(found, str) or isinstance(limit, str) or limit is None:
        raise TypeError("only numbers can be compared with a limit")
    met = found <= limit if upper else found >= limit
    return replace(open_finding, outcome="met" if met else "not met", missing=())
