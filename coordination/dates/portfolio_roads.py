"""Days on the road between sites, and from the homes of crews."""

from collections.abc import Mapping, Sequence
from math import asin, ceil, cos, radians, sin, sqrt

from coordination.access.models import Project
from coordination.dates.models import Crew, SiteAsks, Way

# A day's drive (common practice, no source): roads are longer than the straight line, short ones cost no day.
ROAD_FACTOR, FREE_KM, KM_A_DAY, EARTH_KM = 1.3, 200.0, 500.0, 6371.0


def days_on_the_road(one: tuple[float | None, float | None], other: tuple[float | None, float | None]) -> int:
    """Working days on the road between two points in degrees; 0 where one is not known.

    Up to 200 km of road cost no day, each 500 km more, or part of them, one; a road is 1.3 times the straight line.
    """
    if None in one or None in other:
        return 0
    lat1, lon1, lat2, lon2 = (radians(value or 0.0) for value in (*one, *other))
    half = sin((lat2 - lat1) / 2) ** 2 + cos(lat1) * cos(lat2) * sin((lon2 - lon1) / 2) ** 2
    road = ROAD_FACTOR * 2 * EARTH_KM * asin(min(1.0, sqrt(half)))
    return max(0, ceil((road - FREE_KM) / KM_A_DAY))


def travel(asks: Mapping[Project, SiteAsks], crews: Sequence[Crew]) -> dict[tuple[str, str], int]:
    """Days between the sites by uid, and from ``home UID`` of each crew: as entered, else by the points; 0 left out."""
    sites = list(asks)
    entered = {
        (way.one_id, way.other_id): way.days for way in Way.objects.filter(one__in=[s.pk for s in sites])
    }
    points = {str(site.uid): (asks[site].latitude, asks[site].longitude) for site in sites}
    found = {}
    for n, one in enumerate(sites):
        for other in sites[n + 1 :]:
            days, pair = entered.get((one.pk, other.pk)), (str(one.uid), str(other.uid))
            found[pair] = days_on_the_road(points[pair[0]], points[pair[1]]) if days is None else days
    for crew in crews:
        for uid, point in points.items():
            found[f"home {crew.uid}", uid] = days_on_the_road((crew.latitude, crew.longitude), point)
    return {pair: days for pair, days in found.items() if days}
