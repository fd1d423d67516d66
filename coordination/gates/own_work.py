"""Work that people of a project add beside the plan: what is wished, what is wrong with it, and its rows."""

import uuid
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date

from coordination.access.refusals import Reason
from coordination.dates.models import OwnLink
from coordination.dates.networks import counting
from coordination.gates.holding import Holding
from coordination.gates.own_parts import SITE, Described, own_link, own_photo, own_task, package_of
from coordination.gates.refusals import WorkCannotBe
from coordination.gates.sentences import TRADES
from coordination.projects.models import Link, Requirement, Task

DONE_PHOTO = {"en": "Photo of what was done", "es": "Foto de lo que se hizo"}
REVIEWERS = {"coordinator": "contractor", "contractor": "coordinator"}
MOST_DAYS = 60
MOST_NAME = 160


@dataclass(frozen=True)
class WorkWish:
    """A piece of work that somebody wants: tasks before and after it by key, ``days`` working days, who accepts."""

    name: str
    place: str
    trade: str
    days: int = 1
    after: tuple[str, ...] = ()
    before: tuple[str, ...] = ()
    accepts: str = "coordinator"
    due: date | None = None


@dataclass(frozen=True)
class OwnWork:
    """The rows of own work, not kept yet; ``pairs`` are (before, after, kind) by task key."""

    task: Task
    requirements: list[Requirement]
    pairs: list[tuple[str, str, str]] = field(default_factory=list)

    def keep(self, holding: Holding) -> Task:
        """Save the rows inside the block that has decided it."""
        self.task.save(force_insert=True)
        for row in self.requirements:
            row.task = self.task
        Requirement.objects.bulk_create(self.requirements)
        tasks = {**holding.task_by_key, self.task.key: self.task}
        Link.objects.bulk_create(
            own_link(holding.project, tasks[before], tasks[after], holding.plan_number, kind)
            for before, after, kind in self.pairs
        )
        return self.task


def own_work(holding: Holding, wish: WorkWish, uid: uuid.UUID | None = None) -> OwnWork:
    """The work as rows that are not kept. Raises WorkCannotBe with everything that is wrong with it."""
    if faults := tuple(faults_of(holding, wish)):
        raise WorkCannotBe(*faults)
    uid = uid or uuid.uuid4()
    package = package_of(holding, [*wish.before, *wish.after])
    told = Described(
        f"own-{uid.hex[:8]}@{wish.place}",
        wish.name.strip(),
        place=wish.place,
        package=package,
        trade=wish.trade,
        days=wish.days,
    )
    task = own_task(holding, uid, told)
    task.done_by = wish.due
    deputy = REVIEWERS.get(wish.accepts, "")
    asked = [own_photo(task, "done", DONE_PHOTO, accepts=wish.accepts, deputy=deputy)] if deputy else []
    pairs = [(key, task.key, "FS") for key in dict.fromkeys(wish.after)]
    pairs += [(task.key, key, "FS") for key in dict.fromkeys(wish.before)]
    made = OwnWork(task, asked, pairs)
    if closes_a_ring(holding, task.key, pairs):
        raise WorkCannotBe(Reason("work closes a ring"))
    return made


def faults_of(holding: Holding, wish: WorkWish) -> Iterator[Reason]:
    """Everything that is wrong with a wish, rings aside."""
    if not wish.name.strip():
        yield Reason("work without name")
    if wish.place not in places_of(holding):
        yield Reason("no such place", {"typed": wish.place})
    if wish.trade not in TRADES:
        yield Reason("no such trade", {"typed": wish.trade})
    if wish.accepts and wish.accepts not in REVIEWERS:
        yield Reason("no such role")
    if not 0 < wish.days <= MOST_DAYS:
        yield Reason("days out of range", {"most": MOST_DAYS})
    for key in (*wish.after, *wish.before):
        task = holding.task_by_key.get(key)
        if task is None or task.retired_in is not None or task.is_gate:
            yield Reason("no such work", {"typed": key})
        elif key in wish.before and task.begun_on is not None:
            yield Reason("before work that has begun", {"subject": key})


def places_of(holding: Holding) -> set[str]:
    return {SITE, *(task.place for task in holding.tasks)}


def closes_a_ring(holding: Holding, key: str, pairs: list[tuple[str, str, str]]) -> bool:
    """Whether work would wait for itself through these links."""
    live = [task.key for task in holding.tasks if task.retired_in is None]
    keys = {task.pk: task.key for task in holding.tasks}
    standing = [(keys[link.before_id], keys[link.after_id]) for link in holding.links]
    wished = [
        OwnLink(before=before, after=after, kind=kind, lag=0, unit="working") for before, after, kind in pairs
    ]
    return len(counting(wished, standing, [*live, key])) != len(pairs)
