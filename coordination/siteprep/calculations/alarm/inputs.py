"""Inputs of the alarm calculation. Lengths in nanometres."""

from collections.abc import Iterator
from dataclasses import dataclass

from coordination.siteprep.calculations.code_sets import declare_code_set
from coordination.siteprep.calculations.inputs import Inputs, Problem, declare

SPRINKLER_PLACES = ("hoistway top", "pit", "machine room")


@dataclass(frozen=True, kw_only=True)
class Sprinkler(Inputs):
    """One sprinkler head in hoistway or machine room."""

    name: str = declare("text", "name of the head")
    place: str = declare("choice", "where it is", choices=SPRINKLER_PLACES)
    height: int | None = declare("length", "above the floor of its place", unknown=True, low=0)
    heat_detector_distance: int | None = declare("length", "to its heat detector", unknown=True, low=0)


@dataclass(frozen=True, kw_only=True)
class LobbyDetector(Inputs):
    """The smoke detector at one landing."""

    landing: str = declare("text", "name of the landing")
    distance: int | None = declare(
        "length", "to the centreline of the farthest lift door it serves", unknown=True, low=0
    )


@dataclass(frozen=True, kw_only=True)
class AlarmInputs(Inputs):
    """Landings, recall levels, sprinklers and what the adopted code asks for."""

    code_set: str = declare_code_set()
    lift_class: str = declare(
        "choice", "class of lift", default="limited use", choices=("limited use", "private residence")
    )
    landings: tuple[str, ...] = declare(
        "text", "names of the landings from the bottom up", many=True, least=2
    )
    designated: str | None = declare("text", "designated landing of recall", unknown=True)
    alternate: str | None = declare("text", "alternate landing of recall", unknown=True)
    machine_room_landing: str | None = declare(
        "text", "landing on whose floor the machine room is", unknown=True
    )
    machinery_in_hoistway: bool | None = declare("flag", "machinery stands in the hoistway", unknown=True)
    hydraulic: bool | None = declare("flag", "the drive is hydraulic", unknown=True)
    panel: bool | None = declare("flag", "the building has a fire alarm panel", unknown=True)
    sprinklers: tuple[Sprinkler, ...] | None = declare(
        "record",
        "heads in hoistway, pit and machine room (empty list: none)",
        unknown=True,
        many=True,
        of=Sprinkler,
    )
    lobby_detectors: tuple[LobbyDetector, ...] = declare(
        "record", "measured lobby detectors", default=(), many=True, of=LobbyDetector
    )
    relay_distance: int | None = declare("length", "interface relays to the controller", unknown=True, low=0)

    def cross_check(self) -> Iterator[Problem]:
        """Recall levels and detectors name landings that exist."""
        use = f"use {', '.join(self.landings)}"
        if len(set(self.landings)) < len(self.landings):
            yield Problem("landings", "has two of one name", "name each landing differently")
        for name in ("designated", "alternate", "machine_room_landing"):
            value = getattr(self, name)
            if value is not None and value not in self.landings:
                yield Problem(name, f"{value!r} is not a landing", use)
        if self.designated is not None and self.designated == self.alternate:
            yield Problem("alternate", "is the designated landing", "name another landing")
        for number, detector in enumerate(self.lobby_detectors):
            if detector.landing not in self.landings:
                yield Problem(
                    f"lobby_detectors[{number}].landing", f"{detector.landing!r} is not a landing", use
                )
