"""What a gate waits for, by who owes it, each piece of work once; and what would be left were everything accepted."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy

from coordination.gates.queries import Scene
from coordination.gates.sentences import Names
from coordination.projects.models import Gate
from coordination.readiness import Missing, RequirementStanding, Standing, TaskStanding, assess
from coordination.web.missing import MissingLine, missing_lines

OF_WORK: Mapping[str, str | Promise] = {
    "not begun": gettext_lazy("has not begun"),
    "not finished": gettext_lazy("is not finished"),
    "lag running": gettext_lazy("its waiting time still runs"),
}
OF_REQUIREMENT: Mapping[str, str | Promise] = {
    "not handed in": gettext_lazy("not handed in"),
    "not reviewed": gettext_lazy("not looked at since %(when)s"),
    "refused": gettext_lazy("refused %(when)s"),
    "out of tolerance": gettext_lazy("out of tolerance"),
    "inspection failed": gettext_lazy("not passed %(when)s"),
    "authority document missing": gettext_lazy("the authority’s own document is missing"),
}


@dataclass(frozen=True)
class MissingPart:
    """One thing that is missing in a piece of work: what, and how it stands."""

    what: str
    word: str
    state: str


@dataclass(frozen=True)
class MissingWork:
    """A piece of work, gate or question with everything that is missing in it."""

    name: str
    word: str
    state: str
    href: str
    parts: tuple[MissingPart, ...]


@dataclass(frozen=True)
class OwnersLines:
    """Everything that one company or person owes, with one telephone number."""

    owner: str
    phone: str
    works: tuple[MissingWork, ...]
    number: int


def by_owner(missing: Sequence[Missing], scene: Scene) -> list[OwnersLines]:
    """What is missing, in one list for each who owes it; the longest list first, what nobody owes last."""
    owed: dict[tuple[str, str], list[tuple[Missing, MissingLine]]] = {}
    for item, line in zip(missing, missing_lines(missing, scene.holding), strict=True):
        owed.setdefault((line.owner, line.phone), []).append((item, line))
    found = [
        OwnersLines(owner, phone, _works(items, scene), len(items)) for (owner, phone), items in owed.items()
    ]
    return sorted(found, key=lambda one: (not one.owner, -one.number, one.owner))


def _works(items: Sequence[tuple[Missing, MissingLine]], scene: Scene) -> tuple[MissingWork, ...]:
    """The items of one owner, those of one piece of work together."""
    together: dict[str, list[tuple[Missing, MissingLine]]] = {}
    for item, line in items:
        together.setdefault(item.task or item.subject, []).append((item, line))
    return tuple(_work(key, of_work, Names(scene.holding)) for key, of_work in together.items())


def _work(key: str, items: Sequence[tuple[Missing, MissingLine]], names: Names) -> MissingWork:
    """One piece of work: whether it has begun stands with its name, everything else below it."""
    first = items[0][1]
    task = names.holding.task_by_key.get(key)
    if task is None or task.is_gate:
        return MissingWork(first.sentence, "", first.state, first.href, ())
    own = [line for item, line in items if item.kind in OF_WORK]
    word = next((str(OF_WORK[item.kind]) for item, _line in items if item.kind in OF_WORK), "")
    begun = not any(item.kind == "not begun" for item, _line in items)
    parts = tuple(_part(item, line, names, begun) for item, line in items if item.kind not in OF_WORK)
    state = own[0].state if own else "at work"
    return MissingWork(capfirst(names.task(key)), word, state, first.href, parts)


def _part(item: Missing, line: MissingLine, names: Names, begun: bool) -> MissingPart:
    """Of work that has not begun it goes without saying that nothing was handed in."""
    if item.kind not in OF_REQUIREMENT:
        return MissingPart(line.sentence, "", line.state)
    said_already = item.kind == "not handed in" and not begun
    word = "" if said_already else str(OF_REQUIREMENT[item.kind]) % {"when": names.when(item.since)}
    return MissingPart(capfirst(names.requirement(item.subject)), word, line.state)


def if_all_were_accepted(scene: Scene, gate: Gate) -> int:
    """How many things would still be missing, signatures left out, were all that is handed in and offered accepted."""
    return len(assess(_all_accepted(scene.standing)).gates[gate.key].unsigned)


def _all_accepted(standing: Standing) -> Standing:
    offered = {task.key for task in standing.tasks if task.offered_round}
    return replace(
        standing,
        tasks=tuple(_with_all_accepted(task) for task in standing.tasks),
        links=tuple(
            replace(link, answer="accepted")
            if link.handoff and link.answer == "none" and link.before in offered
            else link
            for link in standing.links
        ),
    )


def _with_all_accepted(task: TaskStanding) -> TaskStanding:
    return replace(task, requirements=tuple(_accepted(need) for need in task.requirements))


def _accepted(need: RequirementStanding) -> RequirementStanding:
    waiting = need.outcome == "handed in" and need.in_tolerance is not False
    return replace(need, outcome="accepted") if waiting else need
