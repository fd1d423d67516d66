"""How far from the site a photo was taken. Only the answer is kept, in one word; the place itself never is."""

from math import asin, cos, radians, sin, sqrt

EARTH = 6_371_000.0  # metres, mean radius
# Common practice, no source: a phone that has no sky over it errs by hundreds of metres.
FAR_OVER = 1000.0  # metres
AT_THE_SITE, FAR = "at the site", "far"


def how_far(taken: tuple[float, float], site: tuple[float, float]) -> str:
    """AT_THE_SITE or FAR; both places are latitude and longitude in degrees."""
    return FAR if metres_between(taken, site) > FAR_OVER else AT_THE_SITE


def metres_between(one: tuple[float, float], other: tuple[float, float]) -> float:
    """Along a great circle of a round earth (haversine formula), half a per cent of what a survey would find."""
    (north, east), (other_north, other_east) = ((radians(a), radians(b)) for a, b in (one, other))
    half = sin((other_north - north) / 2) ** 2
    half += cos(north) * cos(other_north) * sin((other_east - east) / 2) ** 2
    return 2 * EARTH * asin(min(1.0, sqrt(half)))
