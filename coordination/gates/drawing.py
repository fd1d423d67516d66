"""From the numbers of a building, see ``building_numbers``, and the state of its places to the hoistway section."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, cast

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from coordination.gates.building_numbers import FOOT
from coordination.pictures.patterns import Material, State
from coordination.pictures.section import (
    INCH,
    Device,
    DeviceKind,
    Landing,
    MachineRoom,
    Opening,
    Place,
    PlaceKind,
    Plate,
    Rails,
    Section,
    SectionWords,
    Shaft,
    Sump,
    TitleBlock,
    Where,
)
from coordination.projects.trade_words import in_words_of
from coordination.siteprep.lengths import format_length

MATERIALS: Mapping[object, Material] = {
    "wood stud": "wood stud",
    "steel stud": "steel stud",
    "masonry": "block",
    "concrete": "concrete",
}
OPEN_HOISTWAY = _lazy(
    "Open {hoistway}: every opening guarded and owned. Ready is never permission to enter or energize."
)
# Drawn so that the picture is whole, but nobody's figure: never written beside it.
DRAWN_ONLY = frozenset(
    {
        "lintel",
        "plate width",
        "sump depth",
        "sump offset",
        "room height",
        "room depth",
        "route height",
        "backing",
    }
)
# The dimensions that rest on a fact: while it is not known they are drawn from a nominal value and not written.
RESTS_ON = {
    "pit.depth": {"pit depth", "sill"},
    "hoistway.overhead": {"overhead"},
    "hoistway.depth": {"hoistway depth"},
    "lift.opening_height": {"opening"},
    "lift.sill_backing_height": {"sill backing"},
    "lift.rail_spread": {"rail gauge"},
    "pit.sump_recess": {"sump width"},
    "machine_room.place": {"route length"},
    "machine_room.distance": {"route length"},
}


@dataclass(frozen=True)
class PlaceState:
    """How a place stands on the drawing: its state and the words for it."""

    key: str
    kind: str
    name: str
    state: str
    state_words: str
    matter: str = ""
    href: str | None = None
    landing: str | None = None
    hung: bool = False
    guarded: bool = True
    closed: bool = False


def shown_at(place: str, states: Mapping[str, str]) -> dict[str, bool]:
    """What stands at a place, by the state of its work (task key to state): door or rails, guard, closed wall."""

    def ended(entry: str) -> bool:
        return states.get(f"{entry}@{place}") in {"accepted", "done"}

    hung = ended("hang-door") or ended("rails")
    return {"hung": hung, "guarded": ended("guard") and not hung, "closed": ended("close-front")}


@dataclass(frozen=True)
class SheetWords:
    """The words of the title block that only the caller knows."""

    project: str
    sheet: str
    next_gate: tuple[str, str, str]
    next_visit: tuple[str, str, str]


def section_of(numbers: Mapping[str, Any], places: Sequence[PlaceState], words: SheetWords) -> Section:
    """The section ready to draw. Raises PictureError where the numbers make no building."""
    by_landing: dict[str, list[PlaceState]] = {}
    for place in places:
        if place.kind == "landing" and place.landing:
            by_landing.setdefault(place.landing, []).append(place)
    return Section(
        words=section_words(numbers),
        title_block=_title_block(numbers, words),
        shaft=_shaft(numbers),
        landings=tuple(
            _landing(landing, by_landing.get(landing["key"], ())) for landing in numbers["landings"]
        ),
        rails=_rails(numbers, places),
        places=tuple(_place(place) for place in places),
        machine_room=_room(numbers),
        sump=_recess(numbers),
        plate=Plate(offset=numbers["depth"] // 2 + 6 * INCH, width=24 * INCH),
        devices=tuple(_device(device) for device in numbers["devices"]),
        nominal=nominal_kinds(numbers),
    )


def nominal_kinds(numbers: Mapping[str, Any]) -> frozenset[str]:
    """The kinds of dimension that the drawing must not write, because no fact stands behind them."""
    found = set(DRAWN_ONLY)
    for fact in numbers["assumed"]:
        found |= RESTS_ON.get(fact, set())
        if fact.startswith("landing."):
            found |= {"travel", "story", "sill"}
    return frozenset(found)


def length_words(numbers: Mapping[str, Any]) -> Callable[[int], str]:
    """How lengths are written on this project."""
    units: Literal["us", "metric"] = "metric" if numbers.get("units") == "metric" else "us"
    return lambda nm: format_length(nm, units)


def section_words(numbers: Mapping[str, Any]) -> SectionWords:
    code_set = numbers["code_set"]
    description = _(
        "Section through the {hoistway} with its places, their state and the dimensions that matter."
    )
    return SectionWords(
        title=in_words_of(code_set, _("{Hoistway} section, to scale")),
        description=in_words_of(code_set, description),
        front=_("front"),
        rear=_("rear"),
        brackets=_("rail bracket above pit floor"),
        length=length_words(numbers),
        names={
            "pit depth": _("pit depth"),
            "hoistway depth": _("clear depth, front to rear"),
            "travel": _("travel"),
            "overhead": _("overhead"),
            "sump offset": _("rear wall to sump recess"),
            "sump width": _("sump recess, width"),
            "sump depth": _("sump recess, depth"),
            "plate width": _("plate under rails and jack"),
            "story": _("floor to floor"),
            "sill": _("sill above pit floor"),
            "opening": _("rough opening above finished floor"),
            "lintel": _("lintel"),
            "sill backing": _("sound backing below the sill"),
            "bracket": _("rail bracket above pit floor"),
            "rail gauge": _("rail zone"),
            "backing": _("continuous vertical backing"),
            "room height": _("machine room, clear height"),
            "room depth": _("machine room, clear depth"),
            "route height": _("line above machine-room floor"),
            "route length": in_words_of(code_set, _("line, machine room to {hoistway}")),
        },
    )


def _title_block(numbers: Mapping[str, Any], words: SheetWords) -> TitleBlock:
    revision = numbers.get("drawing_revision") or _("not yet issued")
    view = ""
    if numbers.get("assumed"):
        view = _("Drawn with assumed values where facts are still open; see the table.")
    return TitleBlock(
        project=words.project,
        sheet=words.sheet,
        next_gate=words.next_gate,
        next_visit=words.next_visit,
        governs=(
            _("governs"),
            _("drawing, revision %(revision)s") % {"revision": revision},
            _("approved revision and local code"),
        ),
        caution=in_words_of(numbers["code_set"], OPEN_HOISTWAY),
        view=view,
    )


def _shaft(numbers: Mapping[str, Any]) -> Shaft:
    walls = numbers["walls"]
    return Shaft(
        depth=numbers["depth"],
        pit_floor=numbers["pit_floor"],
        top=numbers["top"],
        front_wall=MATERIALS.get(walls["front"], "unknown"),
        rear_wall=MATERIALS.get(walls["rear"], "unknown"),
    )


def _landing(landing: Mapping[str, Any], places: Sequence[PlaceState]) -> Landing:
    state = places[0] if places else None
    return Landing(
        key=landing["key"],
        mark=str(landing["key"]),
        elevation=landing["elevation"],
        openings=tuple(
            Opening(
                side=cast(Literal["front", "rear"], side),
                height=landing["height"],
                backing=landing["backing"],
                door_hung=bool(state and state.hung),
                guarded=not state or state.guarded,
            )
            for side in landing["sides"]
        ),
        wall_closed=bool(state and state.closed),
    )


def _rails(numbers: Mapping[str, Any], places: Sequence[PlaceState]) -> Rails:
    spread = numbers["rail_spread"]
    return Rails(
        wall="rear" if numbers["rail_wall"] == "rear" else "side",
        brackets=tuple(numbers["brackets"]),
        top=numbers["top"] - 12 * INCH,
        gauge=spread,
        setback=numbers["depth"] // 2,
        installed=any(place.kind == "rail wall" and place.hung for place in places),
    )


def _place(place: PlaceState) -> Place:
    return Place(
        key=place.key,
        kind=cast(PlaceKind, place.kind),
        name=place.name,
        state=cast(State, place.state),
        state_words=place.state_words,
        matter=place.matter,
        href=place.href,
        landing=place.landing,
    )


def _room(numbers: Mapping[str, Any]) -> MachineRoom | None:
    if numbers["machine_room"] is None:
        return None
    return MachineRoom(
        floor=0, height=8 * FOOT, depth=6 * FOOT, distance=numbers["machine_room"]["distance"], route=5 * FOOT
    )


def _recess(numbers: Mapping[str, Any]) -> Sump | None:
    sump = numbers.get("sump")
    if not sump:
        return None
    offset = numbers["depth"] - sump["size"] // 2 - 6 * INCH
    return Sump(offset=offset, width=sump["size"], depth=12 * INCH, settled=sump["settled"])


def _device(device: Mapping[str, Any]) -> Device:
    names = {
        "smoke detector": _("smoke detector"),
        "heat detector": _("heat detector"),
        "sprinkler": _("sprinkler"),
        "light": _("pit light"),
        "receptacle": _("GFCI receptacle"),
        "stop switch": _("stop switch"),
    }
    return Device(
        kind=cast(DeviceKind, device["kind"]),
        name=names[device["kind"]],
        where=cast(Where, device["where"]),
        elevation=device["elevation"],
    )
