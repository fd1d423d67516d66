"""The places of a building with the state of their work, and the drawing that shows them."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from django.utils.functional import Promise
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from coordination.dates.queries import DatedPlan
from coordination.gates.building_numbers import drawing_numbers
from coordination.gates.drawing import PlaceState, SheetWords, section_of, shown_at
from coordination.gates.queries import Scene
from coordination.pictures.hoistway import Appearance, Variant, hoistway_section
from coordination.projects.models import Task
from coordination.siteprep.facts import Facts
from coordination.siteprep.plan import Plan
from coordination.web.texts import on_day, said
from coordination.web.words import LOOKS

Address = Callable[[str], str]


@dataclass(frozen=True)
class PlaceLine:
    """One line of the schedule beside the drawing: a place, its state, the one thing that matters now."""

    key: str
    kind: str
    landing: str | None
    name: str
    state: str
    note: str
    href: str
    shown: Mapping[str, bool] = field(default_factory=dict)


def place_lines(scene: Scene, plan: Plan, dated: DatedPlan, address: Address) -> list[PlaceLine]:
    """Every place of the plan with its state, from the top of the building down."""
    by_place: dict[str, list[Task]] = {}
    for task in scene.holding.tasks:
        if task.key in scene.assessment.tasks and not task.is_gate:
            by_place.setdefault(task.place, []).append(task)
    states = {key: str(ready.state) for key, ready in scene.assessment.tasks.items()}
    lines = []
    for place in plan.places:
        tasks = by_place.get(place.key, [])
        state = str(scene.assessment.places.get(place.key, "done"))
        matter = _what_matters(tasks, state, scene, dated)
        if matter and state == "held" and scene.assessment.tasks[matter.key].question_open:
            state = "question open"
        note = _note(matter, dated) if matter else ""
        lines.append(
            PlaceLine(
                place.key,
                place.kind,
                place.landing,
                said(place.text),
                state,
                note,
                address(place.key),
                shown_at(place.key, states),
            )
        )
    return sorted(lines, key=_from_the_top)


def drawing(
    variant: Variant,
    lines: Sequence[PlaceLine],
    facts: Facts,
    plan: Plan,
    words: SheetWords,
    *,
    prefix: str,
    said_of: Mapping[str, str | Promise] | None = None,
) -> SafeString:
    """The section drawing, to scale, with the states of ``lines``. Empty while no plan stands.

    ``said_of`` gives other words for the states than the usual ones.
    """
    if not lines or not facts.landings:
        return SafeString("")
    places = [
        PlaceState(
            key=line.key,
            kind=line.kind,
            name=line.name,
            state=line.state,
            state_words=str((said_of or {}).get(line.state) or LOOKS[line.state].word),
            matter=line.note,
            href=line.href or None,
            landing=line.landing,
            **line.shown,
        )
        for line in lines
    ]
    section = section_of(drawing_numbers(facts, plan), places, words)
    return mark_safe(hoistway_section(section, Appearance(variant, prefix)))


def table_of(lines: Sequence[PlaceLine]) -> Mapping[str, object]:
    """The same content as the drawing, for components/table.html."""
    return {
        "caption": _("Places and the state of their work"),
        "columns": [_("place"), _("state"), _("what matters now")],
        "rows": [
            [
                {"text": line.name, "href": line.href},
                {"text": str(LOOKS[line.state].word), "state": line.state},
                {"text": line.note},
            ]
            for line in lines
        ],
    }


def _what_matters(tasks: Sequence[Task], state: str, scene: Scene, dated: DatedPlan) -> Task | None:
    """Of the work that gives the place its state, what comes first."""
    giving = [task for task in tasks if scene.assessment.tasks[task.key].state == state]
    return min(giving, key=lambda task: (_start(task, dated), task.key), default=None)


def _start(task: Task, dated: DatedPlan) -> date:
    return dated.tasks[task.key].early_start if task.key in dated.tasks else date.max


def _note(task: Task, dated: DatedPlan) -> str:
    what = said(task.derived.get("text", {}))
    if task.finished_on is not None or task.key not in dated.tasks:
        return what
    return _("%(what)s, from %(day)s") % {"what": what, "day": on_day(dated.tasks[task.key].early_start)}


def _from_the_top(line: PlaceLine) -> tuple[int, int]:
    order = ("hoistway top", "landing", "rail wall", "hoistway", "machine room", "route", "pit", "site")
    number = int(line.landing) if line.landing and line.landing.isdigit() else 0
    return (order.index(line.kind), -number)
