"""The space between landing door and sill of a residence lift, as dimensions for whoever frames the opening."""

from collections.abc import Iterator

from coordination.siteprep.calculations.accessibility import LandingReadings, framing_dimension
from coordination.siteprep.fact_types import Facts
from coordination.siteprep.figure import Figure
from coordination.siteprep.sources import Source

_NEEDED = ("door.kind", "lift.door_setback")


def door_to_sill(facts: Facts) -> Iterator[Figure]:
    """Yield for each landing the most from door face to sill edge, and where the sill edge may lie by it.

    Only where the class is a private residence. Source: ASME A17.1 5.3.1.8, by ``calculations.accessibility``.
    """
    kind = facts.value("door.kind")
    if not _residence(facts) or kind is None:
        return
    for landing in facts.landings:
        read = LandingReadings(name=landing, door_setback=facts.length("lift.door_setback"))
        dimension = framing_dimension(read, str(kind))
        for key, value in (
            ("door_to_sill", dimension.most_door_to_sill),
            ("sill_from_framing", dimension.most_sill_from_framing),
        ):
            if isinstance(value.amount, int):
                yield Figure(key, f"landing-{landing}", value.amount, source=_source(value.source))


def still_open(facts: Facts) -> tuple[str, ...]:
    """Return the unknown facts without which the dimensions cannot be told."""
    return tuple(key for key in _NEEDED if _residence(facts) and facts.value(key) is None)


def _residence(facts: Facts) -> bool:
    return facts.value("lift.class") == "private residence" and facts.code_set == "us"


def _source(source: Source) -> Source:
    return Source(source.document, source.clause, source.status, source.confirm_with)
