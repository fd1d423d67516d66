"""The section drawing of a gate report, as the building stood at the clearing: this gate's places, and the others."""

from collections.abc import Iterable
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from coordination.gates.drawing import PlaceState, SheetWords, section_of, shown_at
from coordination.gates.sentences import state_words
from coordination.handover.reading import Reader, Snapshot
from coordination.handover.standing_here import drawn_places, state_here
from coordination.handover.summary import at_places
from coordination.pictures.patterns import NO_PART
from coordination.pictures.pen import PictureError
from coordination.pictures.section import Place, Section, table_of


def drawing_section(snapshot: Snapshot, reader: Reader) -> Section | None:
    """The section as it stood at the clearing; None where its numbers make no building."""
    if not snapshot.get("drawing"):
        return None
    places = [_place(place, keys, snapshot, reader) for place, keys in drawn_places(snapshot["places"])]
    gate = reader.text(snapshot["gate"]["text"])
    words = SheetWords(
        project=snapshot["project"]["name"],
        sheet=gate,
        next_gate=(_("gate cleared"), gate, reader.moment(snapshot["gate"]["cleared_at"])),
        next_visit=(_("plan"), _("revision %(n)d") % {"n": snapshot["plan"]["revision"]}, ""),
    )
    try:
        return section_of(snapshot["drawing"], places, words)
    except PictureError:
        return None


def _place(place: Snapshot, keys: frozenset[str], snapshot: Snapshot, reader: Reader) -> PlaceState:
    """A place as it stands for this gate; what else is to be done there is no matter of its report."""
    state = state_here(snapshot, keys)
    return PlaceState(
        key=place["key"],
        kind=place["kind"],
        name=reader.text(place["text"]),
        state=state or NO_PART,
        state_words=state_words(state) if state else _("not part of this gate"),
        matter=at_places(snapshot, keys),
        landing=place.get("landing"),
        **shown_at(place["key"], snapshot["states"]),
    )


def drawing_words(section: Section, height: int) -> dict[str, Any]:
    """``height``: whole millimetres (a fraction would be written as its language writes it) left by the first page."""
    rows = [(*row.cells, "", "")[:3] for row in table_of(section) if row.group == "dimension"]
    places = places_in_words(section.places)
    return {
        "name": "drawing/section.svg",
        "height": height,
        "title": section.words.title,
        "alt": " ".join((section.words.description, *places)),
        "caption": section.title_block.view,
        "places": places,
        "rows": rows,
    }


def places_in_words(places: Iterable[Place]) -> list[str]:
    """What the hatches of a drawing say, a sentence for each state, for who cannot see it."""
    by_state: dict[str, list[str]] = {}
    for place in places:
        told = f"{place.name} ({place.matter})" if place.matter else place.name
        by_state.setdefault(place.state_words, []).append(told)
    return [
        _("%(state)s: %(places)s.") % {"state": capfirst(state), "places": "; ".join(names)}
        for state, names in by_state.items()
    ]
