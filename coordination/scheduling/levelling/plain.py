"""A crew problem seen as the classic one: jobs with a length, finish-to-start links, crews that never leave."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from .generation import Shop

if TYPE_CHECKING:
    import numpy
    from numpy.typing import NDArray

MOST = 15_000


class PlainShop:
    """A plain shop in arrays. ``jobs`` are the ranks of the tasks that have a length, of which there must be one;
    links through tasks without one are drawn through.
    """

    def __init__(self, shop: Shop) -> None:
        import numpy as np

        self.shop = shop
        self.jobs = [i for i in sorted(shop.rows) if shop.passes.lengths[i]]
        self.count = len(self.jobs)
        numbers = {i: job for job, i in enumerate(self.jobs)}
        self.lengths = np.array([shop.passes.lengths[i] for i in self.jobs], np.int64)
        self.crews = np.array([shop.problem.crews[name].count for name in shop.names] or [1], np.int64)
        self.needs = np.zeros((self.count, len(self.crews)), np.int64)
        for job, i in enumerate(self.jobs):
            for number, count in shop.needs[i]:
                self.needs[job, number] = count
        self.before = _drawn_through(shop, numbers)
        self.after: list[list[int]] = [[] for _ in self.jobs]
        for job, others in enumerate(self.before):
            for other in others:
                self.after[other].append(job)

    @cached_property
    def tails(self) -> NDArray[numpy.int64]:
        """Longest way from the end of each job to the end of all, crews left aside."""
        import numpy as np

        tails = np.zeros(self.count, np.int64)
        for job in range(self.count - 1, -1, -1):
            for other in self.after[job]:
                tails[job] = max(tails[job], tails[other] + self.lengths[other])
        return tails

    @cached_property
    def least_length(self) -> int:
        """No schedule is shorter: the longest way through the links, and each crew's work shared out evenly."""
        ways = int((self.tails + self.lengths + self._heads).max(initial=0))
        work = (self.needs * self.lengths[:, None]).sum(axis=0)
        return max(
            ways, *(-(-int(days) // max(1, int(count))) for days, count in zip(work, self.crews, strict=True))
        )

    @cached_property
    def _heads(self) -> NDArray[numpy.int64]:
        import numpy as np

        heads = np.zeros(self.count, np.int64)
        for job in range(self.count):
            for other in self.before[job]:
                heads[job] = max(heads[job], heads[other] + self.lengths[other])
        return heads


def is_plain(shop: Shop) -> bool:
    """Can the shop be treated as the classic problem?"""
    passes, tasks = shop.passes, shop.passes.tasks
    everyday = all(len(tables.day) == tables.size - 1 for tables in passes.tables)
    free = all(floor == passes.base for floor in passes.floors) and not shop.standing and not shop.weighted
    linked = all(link.kind == "FS" and not link.lag for link in passes.acting)
    return (
        everyday
        and free
        and linked
        and len(passes.rows) == len(tasks)
        and any(passes.lengths)
        and not any(crew.away or crew.count > MOST for crew in shop.problem.crews.values())
        and sum(passes.lengths) <= MOST
    )


def _drawn_through(shop: Shop, numbers: dict[int, int]) -> list[list[int]]:
    """Jobs that each job waits for, tasks without length left out."""
    reached: list[set[int]] = []
    for i in range(shop.count):
        found: set[int] = set()
        for other in shop.before[i]:
            found |= {numbers[other]} if other in numbers else reached[other]
        reached.append(found)
    return [sorted(reached[i]) for i in numbers]
