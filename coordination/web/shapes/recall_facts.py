"""The joint recall test of one site: the alarm calculation filled with what is known of it."""

from typing import Any

from coordination.siteprep.calculations.registry import CALCULATIONS
from coordination.siteprep.facts import Facts
from coordination.web.forms.calculations import CalculationForm, typed_from_given
from coordination.web.shapes.test_sheets import CALCULATION

CLASSES = {"limited-use": "limited use", "private residence": "private residence"}
HEADS = {
    "sprinkler.hoistway_top": "hoistway top",
    "sprinkler.pit": "pit",
    "sprinkler.machine_room": "machine room",
}
TASK = "recall-test"


def recall_form(facts: Facts) -> CalculationForm:
    """The form as somebody would have filled it; what is not known stays open."""
    return CalculationForm(
        CALCULATIONS[CALCULATION],
        typed_from_given(CALCULATIONS[CALCULATION], given_from(facts)),
        facts.code_set,
    )


def given_from(facts: Facts) -> dict[str, Any]:
    """The inputs of the calculation, by its own names; landings go by the names of the building."""
    names = {key: str(facts.value(f"landing.{key}.name") or key) for key in facts.landings}
    lift_class = facts.value("lift.class")
    room, drive = facts.value("machine_room.place"), facts.value("lift.drive")
    found: dict[str, Any] = {
        "landings": list(names.values()),
        "designated": names.get(str(facts.value("fire_alarm.designated_landing"))),
        "alternate": names.get(str(facts.value("fire_alarm.alternate_landing"))),
        "machinery_in_hoistway": None if room is None else room == "none",
        "hydraulic": True if lift_class == "limited-use" else _is(drive, "roped hydraulic"),
        "panel": facts.value("fire_alarm.panel"),
        "sprinklers": _heads(facts),
    }
    if lift_class in CLASSES:
        found["lift_class"] = CLASSES[str(lift_class)]
    return {name: value for name, value in found.items() if value is not None}


def _is(value: object, wanted: str) -> bool | None:
    return None if value is None else value == wanted


def _heads(facts: Facts) -> list[dict[str, str]] | None:
    """The heads that are there; None while it is not known of every place."""
    stated = {place: facts.value(key) for key, place in HEADS.items()}
    if None in stated.values():
        return None
    return [{"name": place, "place": place} for place, there in stated.items() if there]
