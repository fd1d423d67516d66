"""What a gate of a project's own can stand in front of and wait for, as boxes to tick."""

from collections.abc import Mapping
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from coordination.gates.condition_words import fact_words
from coordination.gates.ordering import gates_in_order
from coordination.gates.queries import Scene
from coordination.gates.sentences import Names
from coordination.projects.models import Requirement, Task

Groups = dict[str, list[tuple[str, str]]]


def gate_choices(scene: Scene, places: Mapping[str, str]) -> dict[str, list[tuple[str, Any]]]:
    """The boxes of each field of the form; tasks and what they show by place and task."""
    holding, names = scene.holding, Names(scene.holding)
    work = [task for task in holding.tasks if task.retired_in is None and not task.is_gate]
    asked = {task.key: holding.requirements_of[task.pk] for task in work}
    facts = dict.fromkeys([*(row.fact for row in holding.questions), *sorted(holding.newest_entry)])
    return {
        "before": _by_place((task for task in work if task.begun_on is None), names, places),
        "accepted": _by_place(work, names, places),
        "satisfied": [
            (capfirst(names.task(key)), _needs(rows, names))
            for key, needs in asked.items()
            if (rows := [row for row in needs if row.kind != "document"])
        ],
        "documents": [
            (capfirst(names.task(key)), _needs(rows, names))
            for key, needs in asked.items()
            if (rows := [row for row in needs if row.kind == "document"])
        ],
        "answered": [(fact, capfirst(fact_words(fact, names))) for fact in facts],
        "cleared": [(gate.key, names.gate(gate.key)) for gate in gates_in_order(scene.holding)],
    }


def wish_words(name: str, before: int, conditions: int) -> list[str]:
    """The gate that is wished, in a line."""
    told = {"name": name, "before": before, "conditions": conditions}
    return [
        _(
            "New gate “%(name)s”: it waits for %(conditions)s things, %(before)s pieces of work wait behind it."
        )
        % told
    ]


def _needs(rows: list[Requirement], names: Names) -> list[tuple[str, str]]:
    keys = (names.holding.key_of(row) for row in rows)
    return [(key, capfirst(names.requirement(key))) for key in keys]


def _by_place(work: Any, names: Names, places: Mapping[str, str]) -> list[tuple[str, Any]]:
    found: Groups = {}
    rows: list[Task] = list(work)
    for task in rows:
        found.setdefault(places.get(task.place, task.place), []).append(
            (task.key, capfirst(names.task(task.key)))
        )
    return list(found.items())
