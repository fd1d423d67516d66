"""Plans of a few tasks, written by hand, so that a test can say exactly what a change of facts brings."""

from dataclasses import replace
from typing import Any

from coordination.siteprep.plan import (
    Condition,
    Duration,
    Gate,
    Link,
    Package,
    Place,
    Plan,
    Question,
    Requirement,
    Source,
    Task,
)

PRACTICE = Source("common practice", "", "practice", "")
PLACES = (
    Place("pit", "pit", {"en": "Pit"}),
    Place("rail-wall", "rail wall", {"en": "Rail wall"}),
    Place("site", "site", {"en": "Site"}),
)
PACKAGES = (Package("pit", {"en": "Pit"}, 1), Package("walls", {"en": "Walls"}, 2))


def photo(task: str, key: str = "photo", **altered: Any) -> Requirement:
    told: dict[str, Any] = {
        "kind": "photo",
        "text": {"en": "Photo"},
        "source": PRACTICE,
        "accepts": "coordinator",
    }
    return Requirement(task=task, key=key, **{**told, **altered})


def task(key: str, trade: str = "framing", likely: int = 3, **altered: Any) -> Task:
    entry, place = key.split("@")
    told: dict[str, Any] = {
        "entry": entry,
        "place": place,
        "package": "pit" if place == "pit" else "walls",
        "trade": trade,
        "text": {"en": entry},
        "first_line": {"en": entry},
        "duration": Duration(max(likely - 1, 0), likely, likely + 2 if likely else 0),
        "calendar": "site",
        "requirements": (photo(key),),
    }
    return Task(key=key, **{**told, **altered})


def gate(key: str, *conditions: Condition, **altered: Any) -> tuple[Task, Gate]:
    """A gate with its milestone task."""
    milestone = task(f"{key}@site", "general contractor", 0, requirements=(), milestone_of=key)
    told: dict[str, Any] = {"signers": ("contractor",), "clears": "contractor"}
    return milestone, Gate(key, {"en": key}, conditions, task=milestone.key, **{**told, **altered})


def question(fact: str, *tasks: str) -> Question:
    return Question(fact, {"en": f"{fact}?"}, "contractor", tasks)


def plan(*tasks: Task, links: tuple[Link, ...] = (), **altered: Any) -> Plan:
    told: dict[str, Any] = {
        "places": PLACES,
        "gates": (),
        "questions": (),
        "quantities": (),
        "packages": PACKAGES,
        "code_set": "us",
        "catalogue_sha": "0" * 64,
    }
    return Plan(tasks=tasks, links=links, **{**told, **altered})


POUR, BACKING, BOARD = (
    task("pour@pit", "concrete", 2),
    task("backing@rail-wall"),
    task("board@rail-wall", "drywall", 4),
)
CLOSE, CLOSE_IN = gate(
    "close-in", Condition("task accepted", BACKING.key), Condition("signature", "contractor")
)
COVERS = Link(BACKING.key, BOARD.key, "covers")
FIRST = plan(
    POUR,
    BACKING,
    CLOSE,
    BOARD,
    links=(Link(POUR.key, BACKING.key), COVERS, Link(CLOSE.key, BOARD.key)),
    gates=(CLOSE_IN,),
    questions=(question("pit.sump", POUR.key),),
)


def with_task(old: Plan, altered: Task) -> Plan:
    """``old`` with one task in the place of the one with its key."""
    return replace(old, tasks=tuple(altered if each.key == altered.key else each for each in old.tasks))


def without_task(old: Plan, key: str) -> Plan:
    """``old`` without a task and its links."""
    return replace(
        old,
        tasks=tuple(each for each in old.tasks if each.key != key),
        links=tuple(link for link in old.links if key not in (link.before, link.after)),
    )
