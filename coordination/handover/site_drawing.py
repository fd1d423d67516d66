"""The hoistway section of a frozen site, with the state of each place, as it heads papers and folders."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from coordination.gates.drawing import PlaceState, SheetWords, section_of, shown_at
from coordination.gates.sentences import state_words
from coordination.handover.drawn import places_in_words
from coordination.handover.reading import Reader
from coordination.handover.standing_here import drawn_places
from coordination.handover.whole import Whole
from coordination.pictures.hoistway import Appearance, hoistway_section
from coordination.pictures.pen import PictureError
from coordination.pictures.section import Section, table_of

NAME = "drawing/section.svg"


@dataclass(frozen=True)
class Drawing:
    """The drawing with the same content as a table: rows of what, value, where."""

    svg: bytes
    alt: str
    title: str
    caption: str
    rows: tuple[tuple[str, ...], ...]


def site_drawing(whole: Whole, reader: Reader, sheet: str, *, states: bool = True) -> Drawing | None:
    """None where the numbers make no building. ``states`` False draws it as it will be, with no work begun."""
    if not whole["drawing"]:
        return None
    try:
        section = section_of(whole["drawing"], _places(whole, reader, states), _words(whole, reader, sheet))
        svg = hoistway_section(section, Appearance(variant="paper", prefix="site"))
    except PictureError:
        return None
    told = places_in_words(section.places) if states else ()
    return Drawing(
        svg=svg.encode(),
        alt=" ".join((section.words.description, *told)),
        title=section.words.title,
        caption=section.title_block.view,
        rows=_rows(section),
    )


def _rows(section: Section) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple((*row.cells, "", "")[:3]) for row in table_of(section) if row.group == "dimension")


def _places(whole: Whole, reader: Reader, states: bool) -> list[PlaceState]:
    known = whole["states"] if states else {}
    return [
        PlaceState(
            key=place["key"],
            kind=place["kind"],
            name=reader.text(place["text"]),
            state=place["state"] if states else "held",
            state_words=state_words(place["state"]) if states else _("to be prepared"),
            landing=place["landing"],
            **shown_at(place["key"], known),
        )
        for place, _keys in drawn_places(whole["places"])
    ]


def _words(whole: Whole, reader: Reader, sheet: str) -> SheetWords:
    waiting = [gate for gate in whole["gates"] if gate["state"] != "cleared"]
    gate = reader.text(waiting[0]["text"]) if waiting else _("none left")
    revision = _("revision %(n)d") % {"n": whole["plan"]["revision"]}
    return SheetWords(
        project=whole["project"]["name"],
        sheet=sheet,
        next_gate=(_("next gate"), gate, ""),
        next_visit=(_("plan"), revision, reader.day(whole["as_of"]["at"])),
    )
