"""Dating a hundred sites of sixty tasks when one of them changed, against dating them all, over a real database."""

# ruff: noqa: T201

import random
from dataclasses import replace
from datetime import date
from itertools import count

import pytest

from coordination.access import actions as access
from coordination.dates import dating
from coordination.dates.dating import dated_plans
from coordination.projects.actions import set_task_dates
from coordination.siteprep.plan import Link
from tests.benchmarks.side_by_side import medians
from tests.gates.sites import Site, build
from tests.projects.small_plans import plan, task
from tests.standing_cast import AT

SITES, TASKS, MONDAY = 100, 60, date(2027, 2, 1)
TRADES = ("lift", "electrical", "framing")


def sixty_tasks(seed):
    chance = random.Random(seed)
    tasks = [
        task(f"step-{n}@rail-wall", chance.choice(TRADES), chance.randint(1, 6), requirements=())
        for n in range(TASKS)
    ]
    pairs = {(n - chance.randint(1, min(n, 8)), n) for n in range(1, TASKS) for _ in range(2)}
    links = tuple(Link(tasks[a].key, tasks[b].key) for a, b in sorted(pairs))
    return plan(*tasks, links=links)


def dates_in(dated):
    return {key: dict(plan.tasks) for key, plan in dated.items()}


def sites():
    first = build()
    yield first
    for number in range(1, SITES):
        cast = first.cast
        project = access.open_project(
            cast.supplier,
            cast.people["coordinator"],
            cast.companies["supplier"],
            name=f"Street {number}",
            at=AT,
            zone="America/New_York",
        )
        other = Site(replace(cast, project=project))
        other.accept(sixty_tasks(number))
        yield other


@pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
def test_one_changed_site_of_a_hundred(real_database):
    """Under a fiftieth, what is read from the database to find it included."""
    every = [*sites()]
    projects = [site.project for site in every]
    changed, days = every[SITES // 2], count(1)
    some_task = changed.task("step-30@rail-wall")

    def all_of_them():
        dating._kept.clear()
        return dated_plans(projects, MONDAY)

    def one_of_them():
        return dated_plans(projects, MONDAY)

    def alter():
        some_task.refresh_from_db()
        set_task_dates(
            changed.project,
            changed.who("coordinator"),
            changed.step(),
            some_task.uid,
            own_duration=next(days),
        )

    before = all_of_them()
    alter()
    after = one_of_them()
    moved = [number for number, key in enumerate(before) if before[key] is not after[key]]
    assert moved == [SITES // 2]
    assert dates_in(after) == dates_in(all_of_them())
    ours, whole = medians(one_of_them, all_of_them, rounds=9, before=alter)
    print(
        f"\n{SITES} sites x {TASKS} tasks, one changed: {ours * 1e3:.1f} ms = 1/{whole / ours:.0f} of dating all"
    )
    assert ours < whole / 50
