"""The place of one task, drawn to scale with its dimensions, and the table behind the drawing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from coordination.evidence import readings
from coordination.gates.building_numbers import drawing_numbers
from coordination.gates.drawing import PlaceState, SheetWords, section_of
from coordination.gates.drawing_revision import other_revision
from coordination.gates.queries import Scene
from coordination.pictures.hoistway import Appearance, hoistway_section
from coordination.pictures.section import Section, dimensions_of, name_of
from coordination.projects.models import Task
from coordination.siteprep.facts import Facts
from coordination.siteprep.plan import Plan
from coordination.web.shapes.needs import source_words, system_of
from coordination.web.texts import said
from coordination.web.words import LOOKS

DRAWN = frozenset({"pit", "landing", "rail wall", "hoistway", "hoistway top", "machine room", "route"})

# Which dimensions the work at hand is measured by: they are drawn larger, in the accent.
MATTERS: Mapping[str, frozenset[str]] = {
    "form-pit": frozenset({"pit depth", "hoistway depth"}),
    "dig": frozenset({"pit depth"}),
    "pour": frozenset({"pit depth", "hoistway depth"}),
    "pit-strength": frozenset({"pit depth", "plate width"}),
    "sump-recess": frozenset({"sump offset", "sump width", "sump depth"}),
    "jack": frozenset({"plate width", "pit depth"}),
    "benchmark": frozenset({"sill"}),
    "frame-opening": frozenset({"opening", "lintel", "sill backing"}),
    "frame-shaft": frozenset({"hoistway depth", "overhead"}),
    "backing": frozenset({"backing", "bracket"}),
    "rails": frozenset({"bracket", "rail gauge"}),
    "hang-door": frozenset({"sill", "opening"}),
    "close-front": frozenset({"opening"}),
    "room-walls": frozenset({"room height", "room depth"}),
    "line-sleeve": frozenset({"route height", "route length"}),
    "control-conduit": frozenset({"route height", "route length"}),
}


@dataclass(frozen=True)
class Enlarged:
    """For components/drawing.html."""

    drawing: SafeString
    caption: str
    table: Mapping[str, object]


def enlarged(task: Task, scene: Scene, facts: Facts, plan: Plan, state: str) -> Enlarged | None:
    """The drawing of the task's place; None where the place has none, or nothing is known of the building yet."""
    place = next((row for row in plan.places if row.key == task.place), None)
    if place is None or place.kind not in DRAWN or not facts.landings:
        return None
    numbers = drawing_numbers(facts, plan)
    section = section_of(numbers, _places(plan, task, state), _no_title_block(scene))
    section = replace(section, matters=MATTERS.get(task.entry, frozenset()))
    picture = mark_safe(hoistway_section(section, Appearance("trade", "place", focus=place.key)))
    return Enlarged(picture, _caption(plan, numbers, scene), _table(section, plan, task, scene))


def own_strip(
    tasks: Sequence[Task], scene: Scene, facts: Facts, plan: Plan, hrefs: Mapping[str, str]
) -> SafeString:
    """The whole section as a strip; only places where somebody has work themselves carry a state and open it."""
    if not facts.landings or not plan.places:
        return SafeString("")
    states = {task.place: scene.assessment.tasks[task.key].state for task in reversed(tasks)}
    places = [
        _place_state(place, states[place.key], hrefs.get(place.key))
        for place in plan.places
        if place.key in states
    ]
    section = section_of(drawing_numbers(facts, plan), places, _no_title_block(scene))
    return mark_safe(hoistway_section(section, Appearance("strip", "strip")))


def _places(plan: Plan, task: Task, state: str) -> list[PlaceState]:
    return [_place_state(place, state if place.key == task.place else "held", None) for place in plan.places]


def _place_state(place: Any, state: str, href: str | None) -> PlaceState:
    return PlaceState(
        key=place.key,
        kind=place.kind,
        name=said(place.text),
        state=state,
        state_words=str(LOOKS[state].word),
        href=href,
        landing=place.landing,
    )


def _no_title_block(scene: Scene) -> SheetWords:
    return SheetWords(scene.holding.project.name, "", ("", "", ""), ("", "", ""))


def _caption(plan: Plan, numbers: Mapping[str, Any], scene: Scene) -> str:
    revision = plan.drawing_revision or _("not yet issued")
    words = [_("To scale. The approved drawing governs: revision %(revision)s.") % {"revision": revision}]
    if other := other_revision(scene.holding, plan):
        told = _(
            "Revision %(revision)s was handed in; these dimensions are not from it: ask before you build."
        )
        words.append(told % {"revision": other})
    if numbers["assumed"]:
        words.append(_("Drawn with assumed values where facts are still open."))
    return " ".join(words)


def _table(section: Section, plan: Plan, task: Task, scene: Scene) -> Mapping[str, object]:
    """The drawing's dimensions and the figures worked out for this place, each with where it comes from."""
    system = system_of(scene)
    drawn = [
        [
            name_of(section.words, item),
            {"text": section.words.length(item.value), "figure": True},
            _("site facts"),
        ]
        for item in dimensions_of(section)
        if item.place == task.place and item.kind not in {"story", "bracket"}
    ]
    worked_out = [
        [
            said(item.text),
            {"text": readings.shown(item.value, item.unit, system), "figure": True},
            source_words(vars(item.source)),
        ]
        for item in plan.quantities
        if item.place == task.place
    ]
    return {
        "caption": _("Dimensions at this place"),
        "columns": [_("what"), _("value"), _("where it comes from")],
        "rows": drawn + worked_out,
    }
