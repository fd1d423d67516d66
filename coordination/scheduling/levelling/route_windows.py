"""Between which days each task lies in any route at least as good as the one at hand.

A task whose lateness has a price has a last day, and so has all that leads to it. So what is proved within these
windows holds for all routes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import timedelta

from ..passes import Early, Passes
from .generation import BROKEN
from .routes import Route, RouteShop

MOST_WORK = 40
MOST_DAYS = 20_000


@dataclass(frozen=True)
class Windows:
    """First and last ordinal, in its own calendar, that each open task can begin on."""

    first: Mapping[int, int]
    last: Mapping[int, int]


def windows_of(shop: RouteShop, known: Route) -> Windows | None:
    """None where nothing can be proved: standing work that contradicts itself, or more than a model holds."""
    if known.cost.late >= BROKEN or len(shop.at_work) > MOST_WORK:
        return None
    passes, early = shop.passes, shop.passes.forward()
    spare = known.cost.late - shop.routes.coming * shop.routes.least_comings
    network, end = passes.network, passes.date(passes.size - 1)
    dues = {
        task.key: min(end - timedelta(days=1), task.due + timedelta(days=spare // shop.weights[i]))
        for i, task in enumerate(passes.tasks)
        if task.due and shop.weights[i]
    }
    bound = Passes(
        replace(network, tasks=tuple(replace(task, due=dues.get(task.key)) for task in network.tasks))
    )
    try:
        late = bound.backward(Early(early.at, early.ordinal, passes.size - 1))
    except IndexError:
        return None
    last = {i: min(late.ordinal[i], len(passes.tables[i].day) - 1 - passes.lengths[i]) for i in shop.rows}
    windows = Windows({i: early.ordinal[i] for i in shop.rows}, last)
    days = sum(
        max(0, windows.last[i] - windows.first[i] + 1) * max(1, len(shop.choices[i])) for i in shop.rows
    )
    return windows if days <= MOST_DAYS else None
