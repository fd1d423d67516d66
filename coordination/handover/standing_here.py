"""How the places of a drawing stand for one gate: only the work that the gate asks about, whatever else waits there."""

from collections.abc import Iterable, Iterator, Sequence

from coordination.handover.reading import Snapshot
from coordination.handover.summary import asked_at, standing_of
from coordination.readiness.answers import STATES, TaskState

COUNTS = frozenset({"present", "conceded"})


def drawn_places(places: Sequence[Snapshot]) -> Iterator[tuple[Snapshot, frozenset[str]]]:
    """Each place that a section shows, with the keys of all that it stands for.

    A landing is one place there, with its openings on both sides; it goes by its front where it has one.
    """
    shown = set()
    for place in sorted(places, key=lambda each: each.get("side") == "rear"):
        landing = place.get("landing")
        if landing is None or landing not in shown:
            shown.add(landing)
            yield place, frozenset(_alike(place, places))


def _alike(place: Snapshot, places: Iterable[Snapshot]) -> Iterator[str]:
    yield place["key"]
    if place.get("landing") is not None:
        yield from (each["key"] for each in places if each.get("landing") == place["landing"])


def state_here(snapshot: Snapshot, places: frozenset[str]) -> TaskState | None:
    """None where the gate asks for nothing; else "accepted" (all of it "done": "done") where everything counts.

    Where something does not count, the worst state of this gate's own work there.
    """
    states = {snapshot["states"][task["key"]] for task in snapshot["tasks"] if task["place"] in places}
    if not states:
        return None
    standing = {standing_of(item) for _task, item in asked_at(snapshot, places)}
    if standing and standing <= COUNTS:
        return "done" if states == {"done"} else "accepted"
    return min(states, key=STATES.index)
