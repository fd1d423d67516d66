"""One place of the building: drawn large, its dimensions with where they come from, its work with who does it."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.text import capfirst

from coordination.dates.queries import DatedPlan
from coordination.gates.queries import Scene
from coordination.gates.sentences import trade_words
from coordination.projects.models import Task
from coordination.siteprep.facts import Facts
from coordination.siteprep.plan import Plan
from coordination.web.missing import sheet_of
from coordination.web.places import PlaceLine, place_lines
from coordination.web.shapes.enlarged import Enlarged, enlarged
from coordination.web.texts import said


@dataclass(frozen=True)
class WorkLine:
    """A task at the place, as components/schedule.html shows it."""

    name: str
    state: str
    note: str
    href: str


@dataclass(frozen=True)
class PlaceSheet:
    """A place with everything that its page shows; ``drawing`` is None where the place has none."""

    line: PlaceLine
    drawing: Enlarged | None
    works: tuple[WorkLine, ...]
    cautions: tuple[str, ...]


def place_sheet(key: str, scene: Scene, plan: Plan, facts: Facts, dated: DatedPlan) -> PlaceSheet | None:
    """The page of one place; None where the plan has no such place."""
    line = next((one for one in place_lines(scene, plan, dated, lambda place: "") if one.key == key), None)
    if line is None:
        return None
    tasks = _tasks(key, scene, dated)
    return PlaceSheet(
        line=line,
        drawing=_drawing(tasks, scene, facts, plan, line.state),
        works=tuple(_work(task, scene) for task in tasks),
        cautions=_cautions(tasks, scene, plan),
    )


def _tasks(key: str, scene: Scene, dated: DatedPlan) -> list[Task]:
    """The work at the place in the order in which it can happen."""
    here = [
        task
        for task in scene.holding.tasks
        if task.place == key and not task.is_gate and task.key in scene.assessment.tasks
    ]
    order = {
        task.key: (dated.tasks[task.key].early_start.toordinal()) for task in here if task.key in dated.tasks
    }
    return sorted(here, key=lambda task: (order.get(task.key, 0), task.key))


def _drawing(tasks: Sequence[Task], scene: Scene, facts: Facts, plan: Plan, state: str) -> Enlarged | None:
    """Drawn for the work that comes next there, so that its dimensions stand out."""
    to_come = [task for task in tasks if not scene.ready(task).satisfied]
    chosen = next(iter(to_come or tasks), None)
    return enlarged(chosen, scene, facts, plan, state) if chosen else None


def _work(task: Task, scene: Scene) -> WorkLine:
    company, _phone = scene.holding.company_of(task.trade)
    return WorkLine(
        name=capfirst(said(task.derived.get("text", {}))),
        state=scene.ready(task).state,
        note=", ".join(filter(None, (trade_words(task.trade), company))),
        href=sheet_of(scene.holding)(task),
    )


def _cautions(tasks: Sequence[Task], scene: Scene, plan: Plan) -> tuple[str, ...]:
    """Those of the work still to be done there, each once."""
    keys = dict.fromkeys(
        key
        for task in tasks
        if not scene.ready(task).satisfied
        for key in task.derived.get("cautions", ())
        if key in plan.cautions
    )
    return tuple(said(plan.cautions[key]) for key in keys)
