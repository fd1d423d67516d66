"""Which family of codes a calculation is made under, and what is said where it holds no value of that family."""

from collections.abc import Iterator
from typing import Any, Final

from coordination.siteprep.calculations.inputs import declare
from coordination.siteprep.calculations.values import Finding, Source

CODE_SETS: Final = ("US", "EN")
NO_EN_VALUE = {
    who: Source("no EN value is held here", "what is shown are US values, for planning only", "practice", who)
    for who in ("electrical", "fire", "building", "engineer")
}


def declare_code_set() -> Any:
    """Declare the input by which a calculation knows its code set; US unless said."""
    return declare("choice", "code set of the project", default="US", choices=CODE_SETS)


def no_en_value(code_set: str, who: str) -> Iterator[Finding]:
    """Yield, under the EN set, that the values are US ones, and whom to ask; nothing under the US set."""
    if code_set == "EN":
        yield Finding("no EN value held", "unknown", NO_EN_VALUE[who])
