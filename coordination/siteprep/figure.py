"""One figure worked out for a job, before the catalogue has given it its words."""

from dataclasses import dataclass

from coordination.siteprep.plan_parts import Number
from coordination.siteprep.sources import Source


@dataclass(frozen=True)
class Figure:
    """Catalogue key, place key, amount, unit, a number in a row of several, a source of its own if any."""

    key: str
    place: str
    amount: Number
    unit: str = "length"
    number: int = 0
    source: Source | None = None
