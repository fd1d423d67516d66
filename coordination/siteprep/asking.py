"""Unknown facts that came up while planning, and the questions they become."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from coordination.siteprep.fact_types import Facts
from coordination.siteprep.plan_parts import Question


@dataclass
class Asked:
    """Unknown facts in the order they came up, each with the tasks that depend on it."""

    tasks: dict[str, list[str]] = field(default_factory=dict)

    def note(self, facts: Iterable[str], task: str = "") -> None:
        for fact in facts:
            listed = self.tasks.setdefault(fact, [])
            if task and task not in listed:
                listed.append(task)


def questions(facts: Facts, asked: Asked) -> tuple[Question, ...]:
    """Return the questions in the order of the form, without those that somebody has answered."""
    found = []
    for key, definition in facts.definitions.items():
        if key in asked.tasks and facts.value(key) is None:
            found.append(
                Question(
                    fact=key,
                    text=definition.question,
                    decides=definition.decides,
                    tasks=tuple(asked.tasks[key]),
                    safe_default=definition.safe_default or None,
                    readings=definition.readings,
                )
            )
    return tuple(found)
