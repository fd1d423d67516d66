"""Fire alarm and recall: device schedule, distances, the matrix of cause and effect, and a test sheet from it.

Which device sends the car to which landing, which lights the hat, which trips the power. The codes,
the authority and the alarm designer govern; a smoke detector never trips the power.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from coordination.siteprep.calculations.alarm import sources as src
from coordination.siteprep.calculations.alarm.inputs import AlarmInputs, LobbyDetector, Sprinkler
from coordination.siteprep.calculations.code_sets import NO_EN_VALUE, no_en_value
from coordination.siteprep.calculations.values import Finding, Source, at_most, feet, inches

__all__ = [
    "EXAMPLE",
    "SOURCES",
    "AlarmInputs",
    "AlarmResult",
    "Cause",
    "Device",
    "LobbyDetector",
    "Sprinkler",
    "calculate",
]

LOBBY_DISTANCE = feet(21)
HEAT_DISTANCE = inches(24)
RELAY_DISTANCE = feet(3)
LOW_HEAD = inches(24)


@dataclass(frozen=True, slots=True)
class Device:
    """One device: key, kind, place, landing ("" where it has none), and whether it is needed.

    ``needed`` None means that a fact is missing: ``missing`` names it.
    """

    key: str
    kind: str
    place: str
    landing: str
    needed: bool | None
    source: Source
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Cause:
    """One row of the matrix: a device and what it does.

    ``recall`` is "designated", "alternate" or "" (no recall), ``recall_to`` the landing (None:
    unknown). ``hat`` is "steady", "flashing" or "". ``provisional`` rows depend on a missing fact.
    """

    device: str
    recall: str
    recall_to: str | None
    hat: str
    trips_power: bool
    supervisory: bool
    provisional: bool
    source: Source


@dataclass(frozen=True, slots=True)
class TestLine:
    """One line of the test sheet: what is set off, and what must be seen."""

    number: int
    device: str
    expect_landing: str | None
    expect_hat: str
    expect_power: str
    expect_signal: str


@dataclass(frozen=True, slots=True)
class AlarmResult:
    """Devices, matrix, test sheet with what must be done before and after, and findings."""

    devices: tuple[Device, ...]
    matrix: tuple[Cause, ...]
    before_test: tuple[str, ...]
    test_sheet: tuple[TestLine, ...]
    after_test: tuple[str, ...]
    findings: tuple[Finding, ...]


def calculate(inputs: AlarmInputs) -> AlarmResult:
    """List devices, derive what each does, and check the distances measured.

    A missing fact leaves a device in the schedule, provisional. Residence lifts have no recall.

    Source: ASME A17.1 2.27.3, 2.8.3.3, 5.2.1.27; NFPA 72 chapter 21.
    """
    if inputs.lift_class == "private residence":
        finding = Finding("no recall in this class", "met", src.RESIDENCE)
        return AlarmResult((), (), (), (), (), (finding,))
    devices = tuple(_devices(inputs))
    matrix = tuple(
        cause for device in devices if device.needed is not False for cause in _causes(inputs, device)
    )
    return AlarmResult(
        devices,
        matrix,
        ("monitoring station told", "car empty and watched", "people of every trade on site"),
        tuple(_test_line(number, cause) for number, cause in enumerate(matrix, 1)),
        ("panel reset", "lift back in service by its mechanic", "monitoring station restored"),
        tuple(_findings(inputs)),
    )


def _heads(inputs: AlarmInputs, place: str) -> list[Sprinkler]:
    return [head for head in inputs.sprinklers or () if head.place == place]


def _devices(inputs: AlarmInputs) -> Iterator[Device]:
    for landing in inputs.landings:
        yield Device(f"smoke at landing {landing}", "smoke detector", "lobby", landing, True, src.LOBBY)
    room = inputs.machine_room_landing or ""
    yield Device("smoke in machine room", "smoke detector", "machine room", room, True, src.LIMITED_USE)
    yield _hoistway_smoke(inputs)
    yield _pit_smoke(inputs)
    yield from _heat_detectors(inputs)
    yield from _interfaces(inputs)


def _hoistway_smoke(inputs: AlarmInputs) -> Device:
    """At the hoistway top only with a sprinkler there, or machinery in the hoistway."""
    needed: bool | None = bool(_heads(inputs, "hoistway top")) or inputs.machinery_in_hoistway is True
    missing = []
    if not needed:
        missing = [name for name in ("sprinklers", "machinery_in_hoistway") if getattr(inputs, name) is None]
        needed = None if missing else False
    return Device(
        "smoke at hoistway top", "smoke detector", "hoistway top", "", needed, src.HOISTWAY, tuple(missing)
    )


def _pit_smoke(inputs: AlarmInputs) -> Device:
    needed: bool | None = bool(_heads(inputs, "pit")) and inputs.hydraulic is True
    missing: tuple[str, ...] = ()
    if inputs.sprinklers is None and inputs.hydraulic is not False:
        needed, missing = None, ("sprinklers",)
    elif _heads(inputs, "pit") and inputs.hydraulic is None:
        needed, missing = None, ("hydraulic",)
    return Device("smoke in pit", "smoke detector", "pit", "", needed, src.PIT, missing)


def _heat_detectors(inputs: AlarmInputs) -> Iterator[Device]:
    """One by each head, but none for heads in the pit of not over 24 in; unknown heights stay in question."""
    if inputs.sprinklers is None:
        yield Device("heat by sprinklers", "heat detector", "", "", None, src.HEAT, ("sprinklers",))
    for head in inputs.sprinklers or ():
        low = None if head.height is None else head.height <= LOW_HEAD
        needed = True if head.place != "pit" else None if low is None else not low
        missing = ("sprinklers.height",) if needed is None else ()
        source = src.HEAT if needed else src.SHUTDOWN
        yield Device(f"heat by {head.name}", "heat detector", head.place, "", needed, source, missing)


def _interfaces(inputs: AlarmInputs) -> Iterator[Device]:
    landing = inputs.designated or ""
    missing = () if inputs.designated else ("designated",)
    yield Device("recall switch", "three-position switch", "lobby", landing, True, src.SWITCH, missing)
    for key in ("designated level relay", "alternate level relay", "hat relay"):
        yield Device(key, "relay", "machine room", "", True, src.CIRCUITS)
    trips = [device.needed for device in _heat_detectors(inputs)]
    shunt = True if True in trips else None if None in trips else False
    yield Device("shunt trip", "shunt-trip breaker", "machine room", "", shunt, src.SHUTDOWN)
    yield Device("shunt control power monitor", "relay", "machine room", "", shunt, src.MONITOR)
    unit = None if inputs.panel is None else not inputs.panel
    absent = ("panel",) if inputs.panel is None else ()
    yield Device("dedicated control unit", "control unit", "site", "", unit, src.UNIT, absent)


def _causes(inputs: AlarmInputs, device: Device) -> Iterator[Cause]:
    """What one device does. Only heat detectors trip the power; interfaces do nothing by themselves."""
    provisional = device.needed is None
    if device.kind == "smoke detector":
        recall = _recall(inputs, device)
        landing = None if not recall else getattr(inputs, recall)
        hat = "steady" if device.place == "lobby" else "flashing"
        source = src.PIT_RECALL if device.place == "pit" else src.RECALL
        yield Cause(device.key, recall, landing, hat, False, False, provisional or not recall, source)
    elif device.kind == "heat detector":
        yield Cause(device.key, "", None, "", True, False, provisional, src.SHUTDOWN)
    elif device.key == "recall switch":
        yield Cause(
            device.key, "designated", inputs.designated, "steady", False, False, provisional, src.SWITCH
        )
    elif device.key == "shunt control power monitor":
        yield Cause(device.key, "", None, "", False, True, provisional, src.MONITOR)


def _recall(inputs: AlarmInputs, device: Device) -> str:
    """Alternate when the smoke is on the designated floor, else designated; "" while that is unknown.

    From the pit the car goes to the upper of both recall levels.
    """
    if device.place == "hoistway top":
        return "designated"
    if inputs.designated is None:
        return ""
    if device.place == "pit":
        return _upper_level(inputs)
    if not device.landing:
        return ""
    return "alternate" if device.landing == inputs.designated else "designated"


def _upper_level(inputs: AlarmInputs) -> str:
    if inputs.designated is None or inputs.alternate is None:
        return ""
    order = inputs.landings.index
    return "designated" if order(inputs.designated) > order(inputs.alternate) else "alternate"


def _test_line(number: int, cause: Cause) -> TestLine:
    power = "off, by hand only back on" if cause.trips_power else "stays on"
    signal = "supervisory" if cause.supervisory else "alarm"
    return TestLine(number, cause.device, cause.recall_to, cause.hat, power, signal)


def _findings(inputs: AlarmInputs) -> Iterator[Finding]:
    yield from no_en_value(inputs.code_set, "fire")
    for name in ("designated", "alternate", "machine_room_landing", "panel", "sprinklers"):
        if getattr(inputs, name) is None:
            yield Finding("recall plan", "unknown", src.RECALL, name, missing=(name,))
    measured = {detector.landing: detector.distance for detector in inputs.lobby_detectors}
    for landing in inputs.landings:
        yield at_most(
            "lobby detector distance",
            measured.get(landing),
            LOBBY_DISTANCE,
            "length",
            src.LOBBY,
            missing="lobby_detectors",
            subject=landing,
        )
    for head in inputs.sprinklers or ():
        if head.place == "pit" and head.height is not None and head.height <= LOW_HEAD:
            continue
        yield at_most(
            "heat detector distance",
            head.heat_detector_distance,
            HEAT_DISTANCE,
            "length",
            src.HEAT,
            missing="heat_detector_distance",
            subject=head.name,
        )
    yield at_most(
        "relay distance", inputs.relay_distance, RELAY_DISTANCE, "length", src.RELAY, missing="relay_distance"
    )


SOURCES = (*src.ALL, NO_EN_VALUE["fire"])
EXAMPLE = {
    "landings": ["1", "2"],
    "designated": "1",
    "alternate": "2",
    "machine_room_landing": "1",
    "machinery_in_hoistway": False,
    "hydraulic": True,
    "panel": True,
    "sprinklers": [
        {"name": "top head", "place": "hoistway top", "heat_detector_distance": "18 in"},
        {"name": "pit head", "place": "pit", "height": "20 in"},
    ],
    "lobby_detectors": [{"landing": "1", "distance": "14 ft"}, {"landing": "2", "distance": "22 ft"}],
    "relay_distance": "2 ft",
}
