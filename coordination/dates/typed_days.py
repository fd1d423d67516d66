"""Days as people and spreadsheets write them. What could be two days is refused, never guessed."""

import re
from datetime import date
from typing import Final

from coordination.access.refusals import Reason

MONTHS: Final = {
    name: number
    for number, names in enumerate(
        [
            "january jan enero ene", "february feb febrero", "march mar marzo", "april apr abril abr", "may mayo",
            "june jun junio", "july jul julio", "august aug agosto ago", "september sep sept septiembre setiembre",
            "october oct octubre", "november nov noviembre", "december dec diciembre dic",
        ],
        1,
    )
    for name in names.split()
}  # fmt: skip
ISO: Final = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[ T]0{1,2}:00(?::00(?:\.0+)?)?)?")
YEAR_FIRST: Final = re.compile(r"(\d{4})[/.](\d{1,2})[/.](\d{1,2})")
NUMBERS: Final = re.compile(r"(\d{1,2})[/.-](\d{1,2})[/.-](\d{4}|\d{2})(?: 0{1,2}:00(?::00)?)?")
DAY_FIRST: Final = re.compile(
    r"(\d{1,2})(?:st|nd|rd|th)?[ ./-]*(?:de )?([^\W\d]+)\.?(?:,| de)?[ ./-]*(\d{4}|\d{2})"
)
MONTH_FIRST: Final = re.compile(r"([^\W\d]+)\.?[ ./-]*(\d{1,2})(?:st|nd|rd|th)?,?[ ./-]+(\d{4})")
WEEKDAY: Final = re.compile(r"^[^\W\d]+\.?,? (?=\d|[^\W\d]+\.? \d)")
SERIAL: Final = re.compile(r"[1-9]\d{4}(?:[.,]0+)?")


class UnclearDay(ValueError):
    """A day that cannot be read; ``reason`` says why and how to write it."""

    def __init__(self, reason: Reason) -> None:
        super().__init__(reason.key)
        self.reason = reason


def read_day(typed: str) -> date:
    """The day that was typed: ISO 8601, or a month's name, or numbers that can only be one day.

    A year of two digits is one of this century. Raises UnclearDay.
    """
    text = " ".join(typed.split())
    if found := ISO.fullmatch(text) or YEAR_FIRST.fullmatch(text):
        return _day(text, *map(int, found.groups()))
    if found := NUMBERS.fullmatch(text):
        return _of_numbers(text, *map(int, found.groups()))
    if SERIAL.fullmatch(text):
        raise UnclearDay(Reason("a spreadsheet's number for a day", {"typed": text}))
    for words in (text, WEEKDAY.sub("", text, count=1)):
        if (found := DAY_FIRST.fullmatch(words)) and found[2].lower() in MONTHS:
            return _day(text, int(found[3]), MONTHS[found[2].lower()], int(found[1]))
        if (found := MONTH_FIRST.fullmatch(words)) and found[1].lower() in MONTHS:
            return _day(text, int(found[3]), MONTHS[found[1].lower()], int(found[2]))
    raise UnclearDay(Reason("no day", {"typed": text}))


def _of_numbers(text: str, first: int, second: int, year: int) -> date:
    """Day and month in either order, where only one order gives a day, or both the same."""
    found = []
    for month, day in ((second, first), (first, second)):
        try:
            found.append(_day(text, year, month, day))
        except UnclearDay:
            continue
    if not found:
        raise UnclearDay(Reason("no such day", {"typed": text}))
    if found[0] != found[-1]:
        told = {"typed": text, "one": found[0].isoformat(), "other": found[-1].isoformat()}
        raise UnclearDay(Reason("could be two days", told))
    return found[0]


def _day(text: str, year: int, month: int, day: int) -> date:
    try:
        return date(year + 2000 if year < 100 else year, month, day)
    except ValueError:
        raise UnclearDay(Reason("no such day", {"typed": text})) from None
