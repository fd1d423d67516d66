"""Lengths as whole nanometres, read and written as a site writes them.

One inch is 25 400 000 nm, so 1/64 in is exactly 396 875 nm: feet and inches with
fractions down to 1/64 and metric lengths share one exact whole number.
"""

import re
from fractions import Fraction
from typing import Literal

UnitSystem = Literal["us", "metric"]

INCH = 25_400_000
FOOT = 12 * INCH
MILLIMETRE = 1_000_000
FINEST = INCH // 64

_METRIC = {"mm": MILLIMETRE, "cm": 10 * MILLIMETRE, "m": 1000 * MILLIMETRE}
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_MARKS = str.maketrans(
    {"’": "'", "′": "'", "”": '"', "″": '"', "“": '"', "−": "-", "\u00a0": " ", "\u202f": " "}
)
_UNSIGNED = re.compile(r"^\s*\+(?=\s*[\d.½¼¾⅛⅜⅝⅞])")
_NUMBER = r"\d+(?:\.\d+)?"
_INCHES = rf"(?:(?P<whole>\d+)[\s-]+)?(?P<top>\d+)/(?P<bottom>\d+)|(?P<decimal>{_NUMBER})"
_METRIC_FORM = re.compile(r"(?P<number>\d{1,3}(?: \d{3})+(?:\.\d+)?|\d+(?:\.\d+)?)\s*(?P<unit>mm|cm|m)")
_FEET_FORM = re.compile(
    rf"(?P<feet>{_NUMBER})\s*(?:'|ft\.?|feet|foot|pies?)(?:[\s-]*(?:{_INCHES})\s*(?:\"|in\.?|inches|inch|pulgadas?|pulg\.?|plg\.?)?)?"
)
_INCH_FORM = re.compile(rf"(?:{_INCHES})\s*(?:\"|in\.?|inches|inch|pulgadas?|pulg\.?|plg\.?)")
_BARE_FORM = re.compile(_INCHES)


class LengthError(ValueError):
    """A text that is no length. ``reason`` is a key; ``typed`` is what was written.

    Reasons: "not a length", "no unit", "comma in number", "inches over a foot",
    "division by nothing", "finer than a nanometre".
    """

    def __init__(self, reason: str, typed: str) -> None:
        super().__init__(f'{typed!r}: {reason}; write 9\' 4 1/2", 14" or 2857 mm')
        self.reason = reason
        self.typed = typed


def parse_length(text: str, unit_system: UnitSystem | None = None) -> int:
    """Return the length in nanometres that ``text`` states.

    Feet and inches (``9' 4 1/2"``, ``9 ft 4-1/2 in``), inches (``14"``) and metric
    (``2 857 mm``, ``2.857 m``) are read,
    in Spanish ``9 pies 4 1/2 pulg``; a leading minus is kept, a leading plus says nothing. A bare number counts as
    inches or millimetres only when ``unit_system`` says which. Nothing is rounded.
    Raises LengthError.
    """
    written = _tidied(text)
    negative = written.startswith("-")
    body = written[1:].strip() if negative else written
    if "," in body:
        raise LengthError("comma in number", text)
    exact = _nanometres(body, unit_system, text)
    if exact.denominator != 1:
        raise LengthError("finer than a nanometre", text)
    return -exact.numerator if negative else exact.numerator


def format_length(nm: int, system: UnitSystem = "us", denominator: int = 16) -> str:
    """Write ``nm`` nanometres for a reader, ``9' 4 1/2"`` or ``2 857 mm``.

    Exact where 1/64 in (or 0.1 mm) can say it, and then ``parse_length`` gives the same
    number back. Anything else is rounded to 1/``denominator`` in (or 0.1 mm), halves away
    from nothing, and says so with a leading ``≈``.
    """
    if system == "metric":
        return _metric(nm)
    if nm % FINEST == 0:
        return _feet_and_inches(Fraction(nm, INCH))
    return "≈ " + _feet_and_inches(_rounded(Fraction(nm, INCH), denominator))


def exact_length(nm: int) -> str:
    """Write ``nm`` so that ``parse_length`` always gives it back: feet-inches if they can, else millimetres."""
    if nm % FINEST == 0:
        return format_length(nm, "us")
    whole, rest = divmod(abs(nm), MILLIMETRE)
    return f"{'-' if nm < 0 else ''}{whole}.{rest:06d}".rstrip("0").rstrip(".") + " mm"


def _tidied(text: str) -> str:
    written = _UNSIGNED.sub("", text.translate(_MARKS).lower().replace("''", '"')).strip()
    for sign, spelled in _VULGAR.items():
        written = re.sub(rf"(?<=\d)\s*{sign}", f" {spelled}", written).replace(sign, spelled)
    return written


def _nanometres(body: str, unit_system: UnitSystem | None, typed: str) -> Fraction:
    if found := _METRIC_FORM.fullmatch(body):
        return Fraction(found["number"].replace(" ", "")) * _METRIC[found["unit"]]
    if found := _FEET_FORM.fullmatch(body):
        inches = _inches(found, typed)
        if inches >= 12:
            raise LengthError("inches over a foot", typed)
        return Fraction(found["feet"]) * FOOT + inches * INCH
    if found := _INCH_FORM.fullmatch(body):
        return _inches(found, typed) * INCH
    if found := _BARE_FORM.fullmatch(body):
        if unit_system is None:
            raise LengthError("no unit", typed)
        return _inches(found, typed) * (INCH if unit_system == "us" else MILLIMETRE)
    raise LengthError("not a length", typed)


def _inches(found: re.Match[str], typed: str) -> Fraction:
    if found["decimal"]:
        return Fraction(found["decimal"])
    if found["top"] is None:
        return Fraction(0)
    if int(found["bottom"]) == 0:
        raise LengthError("division by nothing", typed)
    return Fraction(found["whole"] or 0) + Fraction(int(found["top"]), int(found["bottom"]))


def _rounded(value: Fraction, denominator: int) -> Fraction:
    steps = int(abs(value) * denominator + Fraction(1, 2))
    return Fraction(steps if value >= 0 else -steps, denominator)


def _feet_and_inches(inches: Fraction) -> str:
    feet, rest = divmod(abs(inches), 12)
    whole, part = divmod(rest, 1)
    words = [f"{feet}'"] if feet else []
    if feet or whole or not part:
        words.append(str(whole))
    if part:
        words.append(f"{part.numerator}/{part.denominator}")
    return ("-" if inches < 0 else "") + " ".join(words) + '"'


def _metric(nm: int) -> str:
    tenths = _rounded(Fraction(nm, MILLIMETRE), 10)
    whole, part = divmod(abs(tenths), 1)
    digits = f"{int(whole):,}".replace(",", " ") + (f".{int(part * 10)}" if part else "")
    about = "" if nm % (MILLIMETRE // 10) == 0 else "≈ "
    return f"{about}{'-' if tenths < 0 else ''}{digits} mm"
