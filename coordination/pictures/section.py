"""The numbers and words of a hoistway section, and the rows behind the drawing.

All lengths and elevations are whole nanometres in one datum (the shell usually takes the lowest landing as zero).
Depths run from the rear wall's inner face towards the front. Every word arrives ready to print.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

from coordination.pictures.patterns import Material, State
from coordination.pictures.pen import PictureError

INCH: Final = 25_400_000
FOOT: Final = 12 * INCH

Side = Literal["front", "rear"]
SIDES: Final[tuple[Side, ...]] = ("front", "rear")
PlaceKind = Literal[
    "pit", "landing", "rail wall", "hoistway", "hoistway top", "machine room", "route", "site"
]
DeviceKind = Literal["smoke detector", "heat detector", "sprinkler", "light", "receptacle", "stop switch"]
Where = Literal["front", "rear", "hoistway", "machine room"]


@dataclass(frozen=True)
class Place:
    """A place and its state; ``state_words`` and ``matter`` are what the schedule prints."""

    key: str
    kind: PlaceKind
    name: str
    state: State
    state_words: str
    matter: str = ""
    href: str | None = None
    landing: str | None = None


@dataclass(frozen=True)
class Opening:
    """A door opening of a landing; ``lintel`` above it and ``backing`` below its sill are heights."""

    side: Side
    height: int
    lintel: int = 8 * INCH
    backing: int = 10 * INCH
    door_hung: bool = False
    guarded: bool = True


@dataclass(frozen=True)
class Landing:
    """A landing at its finished floor; ``mark`` is the short name drawn on the floor."""

    key: str
    mark: str
    elevation: int
    openings: tuple[Opening, ...]
    wall_closed: bool = False


@dataclass(frozen=True)
class Shaft:
    """The clear hoistway: depth front to rear, pit floor, underside of the top, and how its walls are built."""

    depth: int
    pit_floor: int
    top: int
    front_wall: Material = "unknown"
    rear_wall: Material = "unknown"
    wall_thickness: int = 8 * INCH


@dataclass(frozen=True)
class Rails:
    """Rails on a side wall (seen face on) or on the rear wall (seen from the side); ``brackets`` are elevations."""

    wall: Literal["side", "rear"]
    brackets: tuple[int, ...]
    top: int
    gauge: int = 30 * INCH
    setback: int = 30 * INCH
    backing: int = 9 * INCH
    installed: bool = False
    jack_top: int | None = None


@dataclass(frozen=True)
class Sump:
    """A recess in the pit floor; ``offset`` is from the rear wall's inner face to its centre."""

    offset: int
    width: int
    depth: int
    settled: bool = True


@dataclass(frozen=True)
class Plate:
    """The plate under rails and jack; ``offset`` as for the sump."""

    offset: int
    width: int
    thickness: int = INCH


@dataclass(frozen=True)
class MachineRoom:
    """The room beside (``distance`` 0) or away from the hoistway; ``route``: elevation of the line between."""

    floor: int
    height: int
    depth: int
    distance: int
    route: int


@dataclass(frozen=True)
class Device:
    """A small device, drawn as a symbol with its name as a title."""

    kind: DeviceKind
    name: str
    where: Where
    elevation: int


@dataclass(frozen=True)
class TitleBlock:
    """The words of the title block; pairs are (heading, words, note)."""

    project: str
    sheet: str
    next_gate: tuple[str, str, str]
    next_visit: tuple[str, str, str]
    governs: tuple[str, str, str]
    caution: str
    view: str = ""


@dataclass(frozen=True)
class SectionWords:
    """Words of the drawing itself. ``length`` writes a length; ``names`` has one entry per dimension kind."""

    title: str
    description: str
    front: str
    rear: str
    brackets: str
    length: Callable[[int], str]
    names: Mapping[str, str]
    scale_step: int = FOOT


@dataclass(frozen=True)
class Dimension:
    """One measured distance: vertical ones between elevations, horizontal ones between depths."""

    key: str
    kind: str
    place: str
    axis: Literal["vertical", "horizontal"]
    low: int
    high: int

    @property
    def value(self) -> int:
        """The distance in nanometres."""
        return self.high - self.low


@dataclass(frozen=True)
class Section:
    """Everything the hoistway section draws. Raises PictureError where the numbers make no building.

    ``nominal`` names the kinds of dimension that were drawn from nobody's figure: they are drawn, never written.
    """

    words: SectionWords
    title_block: TitleBlock
    shaft: Shaft
    landings: tuple[Landing, ...]
    rails: Rails
    places: tuple[Place, ...]
    machine_room: MachineRoom | None = None
    sump: Sump | None = None
    plate: Plate | None = None
    devices: tuple[Device, ...] = ()
    matters: frozenset[str] = field(default_factory=frozenset)
    nominal: frozenset[str] = field(default_factory=frozenset)

    def __post_init__(self) -> None:
        for complaint in _complaints(self):
            raise PictureError(complaint)

    @property
    def lowest(self) -> Landing:
        """The lowest landing."""
        return self.landings[0]

    @property
    def highest(self) -> Landing:
        """The highest landing."""
        return self.landings[-1]

    def has(self, side: Side) -> bool:
        """Whether any landing opens on ``side``."""
        return any(opening.side == side for landing in self.landings for opening in landing.openings)

    def place_of(self, kind: PlaceKind, landing: str | None = None) -> Place | None:
        """The place of a kind (and landing), if the drawing has it."""
        found = (p for p in self.places if p.kind == kind and (kind != "landing" or p.landing == landing))
        return next(found, None)


def _complaints(section: Section) -> list[str]:
    """What is wrong with the numbers, most basic first."""
    found = []
    elevations = [landing.elevation for landing in section.landings]
    if not elevations:
        return ["landings: at least one landing is needed"]
    if elevations != sorted(set(elevations)):
        found.append("landings: elevations must rise from the first landing to the last")
    if section.shaft.depth <= 0:
        found.append("shaft.depth: must be more than zero")
    if section.shaft.pit_floor >= elevations[0]:
        found.append("shaft.pit_floor: must lie below the lowest landing")
    tallest = max((opening.height for opening in section.landings[-1].openings), default=0)
    if section.shaft.top <= elevations[-1] + tallest:
        found.append("shaft.top: must lie above the highest opening")
    if any(not section.shaft.pit_floor <= bracket <= section.shaft.top for bracket in section.rails.brackets):
        found.append("rails.brackets: must lie between pit floor and hoistway top")
    keys = {landing.key for landing in section.landings}
    if any(place.kind == "landing" and place.landing not in keys for place in section.places):
        found.append("places: a landing place must name a landing of the section")
    if len({place.key for place in section.places}) != len(section.places):
        found.append("places: keys must differ")
    return found


def dimensions_of(section: Section) -> tuple[Dimension, ...]:
    """Every dimension the drawing can write, pit first; kinds are the keys of ``words.names``."""
    found = (
        *_shaft_dimensions(section),
        *_opening_dimensions(section),
        *_rail_dimensions(section),
        *_room_dimensions(section),
    )
    return tuple(dimension for dimension in found if dimension.kind not in section.nominal)


def _place_key(section: Section, kind: PlaceKind, landing: str | None = None) -> str:
    place = section.place_of(kind, landing)
    return place.key if place else ""


def _shaft_dimensions(section: Section) -> list[Dimension]:
    shaft, pit, top = section.shaft, _place_key(section, "pit"), _place_key(section, "hoistway top")
    low, high = section.lowest.elevation, section.highest.elevation
    found = [
        Dimension("pit depth", "pit depth", pit, "vertical", shaft.pit_floor, low),
        Dimension("hoistway depth", "hoistway depth", pit, "horizontal", 0, shaft.depth),
    ]
    if high > low:
        found.append(Dimension("travel", "travel", "", "vertical", low, high))
    found.append(Dimension("overhead", "overhead", top, "vertical", high, shaft.top))
    if section.sump:
        half = section.sump.width // 2
        start = section.sump.offset - half
        found += [
            Dimension("sump offset", "sump offset", pit, "horizontal", 0, start),
            Dimension("sump width", "sump width", pit, "horizontal", start, start + section.sump.width),
            Dimension(
                "sump depth",
                "sump depth",
                pit,
                "vertical",
                shaft.pit_floor - section.sump.depth,
                shaft.pit_floor,
            ),
        ]
    if section.plate:
        start = section.plate.offset - section.plate.width // 2
        found.append(
            Dimension("plate width", "plate width", pit, "horizontal", start, start + section.plate.width)
        )
    return found


def _opening_dimensions(section: Section) -> list[Dimension]:
    found = []
    for below, landing in zip((None, *section.landings), section.landings, strict=False):
        place, floor = _place_key(section, "landing", landing.key), landing.elevation
        if below and len(section.landings) > 2:
            found.append(
                Dimension(f"story {landing.key}", "story", place, "vertical", below.elevation, floor)
            )
        found.append(
            Dimension(f"sill {landing.key}", "sill", place, "vertical", section.shaft.pit_floor, floor)
        )
        for opening in landing.openings:
            suffix = f"{landing.key} {opening.side}"
            head = floor + opening.height
            found += [
                Dimension(f"opening {suffix}", "opening", place, "vertical", floor, head),
                Dimension(f"lintel {suffix}", "lintel", place, "vertical", head, head + opening.lintel),
                Dimension(
                    f"sill backing {suffix}",
                    "sill backing",
                    place,
                    "vertical",
                    floor - opening.backing,
                    floor,
                ),
            ]
    return found


def _rail_dimensions(section: Section) -> list[Dimension]:
    rails, place, pit = section.rails, _place_key(section, "rail wall"), section.shaft.pit_floor
    brackets = sorted(rails.brackets)
    found = [
        Dimension(f"bracket {i}", "bracket", place, "vertical", pit, b) for i, b in enumerate(brackets, 1)
    ]
    if rails.wall == "side":
        left = rails.setback - rails.gauge // 2
        half = rails.backing // 2
        found += [
            Dimension("rail gauge", "rail gauge", place, "horizontal", left, left + rails.gauge),
            Dimension("backing", "backing", place, "horizontal", left - half, left - half + rails.backing),
        ]
    return found


def _room_dimensions(section: Section) -> list[Dimension]:
    room = section.machine_room
    if room is None:
        return []
    place, route = _place_key(section, "machine room"), _place_key(section, "route")
    outer = -section.shaft.wall_thickness
    right = outer - room.distance
    found = [
        Dimension("room height", "room height", place, "vertical", room.floor, room.floor + room.height),
        Dimension("room depth", "room depth", place, "horizontal", right - room.depth, right),
        Dimension("route height", "route height", route, "vertical", room.floor, room.route),
    ]
    if room.distance:
        found.append(Dimension("route length", "route length", route, "horizontal", right, outer))
    return found


@dataclass(frozen=True)
class Row:
    """A line of the table behind a picture: what it is about, its cells, and where it leads."""

    group: str
    key: str
    cells: tuple[str, ...]
    href: str | None = None


def table_of(section: Section) -> tuple[Row, ...]:
    """The drawing's content in words.

    Cells of a place: name, state, matter; of a dimension: name, place, value; of a device: name, height over pit floor.
    """
    words, names = section.words, {place.key: place.name for place in section.places}
    rows = [Row("place", p.key, (p.name, p.state_words, p.matter), p.href) for p in section.places]
    for dimension in dimensions_of(section):
        cells = (name_of(words, dimension), names.get(dimension.place, ""), words.length(dimension.value))
        rows.append(Row("dimension", dimension.key, cells))
    floor = section.shaft.pit_floor
    rows += [Row("device", d.kind, (d.name, words.length(d.elevation - floor))) for d in section.devices]
    return tuple(rows)


def name_of(words: SectionWords, dimension: Dimension) -> str:
    """The words for a dimension; raises PictureError when the caller gave none."""
    try:
        return words.names[dimension.kind]
    except KeyError:
        raise PictureError(f"words.names: a name for {dimension.kind!r} is needed") from None
