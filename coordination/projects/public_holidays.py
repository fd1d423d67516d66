"""Public holidays of a country and region, from the package ``holidays``."""

from datetime import date
from functools import lru_cache

from holidays import country_holidays


class UnknownRegion(ValueError):
    """There are no holidays on file for this country and region."""


@lru_cache(maxsize=64)
def public_holidays(region: str, first_year: int, last_year: int) -> frozenset[date]:
    """Every public holiday of ``region``, written as US or US-VT, in these years. Raises UnknownRegion."""
    country, dash, subdivision = region.partition("-")
    if dash and not subdivision:
        raise UnknownRegion(region)
    try:
        found = country_holidays(
            country, subdiv=subdivision or None, years=range(first_year, last_year + 1), expand=False
        )
    except NotImplementedError:
        raise UnknownRegion(region) from None
    return frozenset(found)
