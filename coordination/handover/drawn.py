"""The section drawing of a gate report, as the building stood at the clearing."""

from typing import Any

from django.utils.translation import gettext as _

from coordination.gates.drawing import PlaceState, SheetWords, section_of, shown_at
from coordination.gates.sentences import state_words
from coordination.handover.reading import Reader, Snapshot
from coordination.handover.summary import of_place
from coordination.pictures.pen import PictureError
from coordination.pictures.section import Section, table_of


def drawing_section(snapshot: Snapshot, reader: Reader) -> Section | None:
    """The section as it stood at the clearing; None where its numbers make no building."""
    if not snapshot.get("drawing"):
        return None
    places = [
        PlaceState(
            key=place["key"],
            kind=place["kind"],
            name=reader.text(place["text"]),
            state=place["state"],
            state_words=state_words(place["state"]),
            matter=of_place(snapshot, place["key"]),
            landing=place.get("landing"),
            **shown_at(place["key"], snapshot["states"]),
        )
        for place in snapshot["places"]
        if not place.get("side") or place.get("side") == "front"
    ]
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


def drawing_words(section: Section, height: int) -> dict[str, Any]:
    """``height``: whole millimetres (a fraction would be written as its language writes it) left by the first page."""
    rows = [(*row.cells, "", "")[:3] for row in table_of(section) if row.group == "dimension"]
    return {
        "name": "drawing/section.svg",
        "height": height,
        "title": section.words.title,
        "alt": section.words.description,
        "caption": section.title_block.view,
        "rows": rows,
    }
