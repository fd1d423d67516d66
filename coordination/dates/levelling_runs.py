"""Levelling as background work, found from its row: asked for, searched with a budget of time, stopped, kept.

Every answer that is kept has passed the independent checker. Seed and iterations make an answer again.
"""

import json
import time
import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from django.utils import timezone

from coordination.access.deciding import deciding_for_supplier
from coordination.access.permissions import require
from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.dates.models import Levelling
from coordination.dates.portfolio import portfolio_of
from coordination.dates.portfolio_format import Portfolio, as_json, digest_of, from_json
from coordination.dates.refusals import LevellingRefused
from coordination.record.chaining import canonical
from coordination.scheduling.calendars import OutOfHorizon
from coordination.scheduling.levelling.route_checker import route_faults
from coordination.scheduling.levelling.route_model import Proven
from coordination.scheduling.levelling.route_problem import RouteProblem
from coordination.scheduling.levelling.route_search import level_routes, served_first
from coordination.scheduling.levelling.route_solver import RouteSolver
from coordination.scheduling.levelling.routes import Route
from coordination.scheduling.network import NetworkError

SECONDS = (5, 20, 60)
MOST_SECONDS = 60
LOOK_EVERY = 0.3
WISH_SHARE = 0.4


def ask_for_levelling(
    visitor: Visitor, at: datetime, *, seconds: int = 5, seed: int = 1, today: date
) -> Levelling:
    """Freeze the sites as they stand and have them levelled. One that is under way already is given back.

    Raises NotAllowed; LevellingRefused.
    """
    require(visitor, "level the crews")
    if not 1 <= seconds <= MOST_SECONDS:
        raise LevellingRefused(Reason("seconds out of range", {"most": MOST_SECONDS}))
    supplier = visitor.project.supplier
    try:
        text = as_json(portfolio_of(supplier, today))
    except (NetworkError, OutOfHorizon) as fault:
        raise LevellingRefused(Reason("network cannot be dated", {"why": str(fault)})) from None
    with deciding_for_supplier(visitor, at) as pen:
        if under_way := Levelling.objects.filter(supplier=supplier, ended_at__isnull=True).first():
            pen.leave_as_it_is()
            return under_way
        uid, digest = uuid.uuid4(), digest_of(text)
        body = {"input": digest, "seed": seed, "seconds": seconds}
        return Levelling.objects.create(
            uid=uid, supplier=supplier, asked_at=at, asked_by=visitor.name, input=text, input_sha=digest, seed=seed,
            seconds=seconds, event=pen.write("levelling asked for", subject=str(uid), body=body),
        )  # fmt: skip


def stop_levelling(visitor: Visitor, at: datetime, uid: uuid.UUID) -> Levelling:
    """Have a levelling end soon and keep its best. Stopped or ended already, nothing changes.

    Raises NotAllowed, NotVisible.
    """
    require(visitor, "level the crews")
    with deciding_for_supplier(visitor, at) as pen:
        row = Levelling.objects.filter(supplier=visitor.project.supplier_id, uid=uid).first()
        if row is None:
            raise NotVisible
        if row.stop_asked_at or row.ended_at:
            pen.leave_as_it_is()
            return row
        pen.write("levelling stopped", subject=str(uid), body={})
        Levelling.objects.filter(pk=row.pk, ended_at__isnull=True).update(stop_asked_at=at)
        row.refresh_from_db()
        return row


def unfinished(now: datetime) -> list[str]:
    """Levellings that were asked for and have not ended."""
    return [str(uid) for uid in Levelling.objects.filter(ended_at__isnull=True).values_list("uid", flat=True)]


def run_levelling(key: str) -> None:
    """Search for as long as was asked, or until stopped. Broken off, it is begun again with the same seed."""
    row = Levelling.objects.filter(uid=key, ended_at__isnull=True).first()
    if row is None:
        return
    answer = _Run(row).answer()
    Levelling.objects.filter(pk=row.pk, ended_at__isnull=True).update(
        answer=canonical(answer), iterations=answer["tried"], ended_at=timezone.now()
    )


def answer_again(row: Levelling) -> dict[str, Any]:
    """The answer that the row's input, seed and iterations give, whatever the time it takes: for whoever checks it.

    What the solver found or proved is not found again, because its time is part of it: its days are taken as kept.
    """
    told = json.loads(row.answer)
    return solved(
        from_json(row.input), row.seed, moves=row.iterations - 1, solver=told.get("solver"),
        wish_moves={site: wish["tried"] - 1 for site, wish in told["wishes"].items()},
    )  # fmt: skip


def solved(
    portfolio: Portfolio,
    seed: int,
    *,
    keep_going: Callable[[], bool] = lambda: True,
    moves: int | None = None,
    wish_moves: Mapping[str, int] | None = None,
    wishing: Callable[[str], Callable[[], bool]] = lambda site: lambda: True,
    hear: Callable[[Route | None, int, "Kept"], None] = lambda route, tried, kept: None,
    solver_seconds: float = 0.0,
    solver: Mapping[str, Any] | None = None,
) -> dict[str, Any]:
    """The best answer with what each site's wish would cost the others, as it is kept.

    Bookings that cannot all be kept are given up one by one, the latest first, and named. With ``solver_seconds``
    the solver of OR-Tools works beside the search where the sites are few; ``solver`` is what it told another time.
    """
    kept = keep_bookings(portfolio)
    if kept.faults:
        return {"faults": kept.faults, "tried": 1, "wishes": {}, "starts": {}}
    beside = _solver_beside(kept.problem, seed, solver_seconds)
    try:
        route = level_routes(
            kept.problem, lambda: keep_going() and not (beside and beside.settled()), seed=seed, moves=moves,
            tell=lambda route, tried: hear(route, tried, kept),
        )  # fmt: skip
    finally:
        proven = beside.finish() if beside else None
    if proven is not None:
        solver = _told_by_solver(proven, route)
    route = _with_solver(kept.problem, route, solver)
    if faults := route_faults(kept.problem, route.starts, route.crews):
        raise AssertionError(f"A route that the checker refuses: {faults}")
    told = {**told_of(portfolio, kept, route), "solver": solver}
    for site in portfolio.sites:
        asked = served_first(kept.problem, site.uid, site.wish)
        limit = (wish_moves or {}).get(site.uid)
        wished = level_routes(asked, wishing(site.uid), seed=seed, moves=limit, begin=route, favour=site.uid)
        if route_faults(asked, wished.starts, wished.crews):
            told["wishes"][site.uid] = {"tried": wished.tried, "ends": None}
        else:
            told["wishes"][site.uid] = {"tried": wished.tried, "ends": _ends(portfolio, wished)}
    return told


def _solver_beside(problem: RouteProblem, seed: int, seconds: float) -> RouteSolver | None:
    if not seconds:
        return None
    first = level_routes(problem, lambda: False)
    return RouteSolver(problem, first, seed, seconds) if first.cost > first.least else None


def _told_by_solver(proven: Proven, route: Route) -> dict[str, Any]:
    """What is kept of the solver's work: the cost that no route is under, and its own days where they are better."""
    best = proven.route
    if best is None or best.cost >= route.cost:
        return {"bound": proven.bound}
    starts = {key: day.isoformat() for key, day in best.starts.items() if key in best.crews}
    return {
        "bound": proven.bound,
        "starts": starts,
        "crews": {key: list(names) for key, names in best.crews.items()},
    }


def _with_solver(problem: RouteProblem, route: Route, solver: Mapping[str, Any] | None) -> Route:
    """The solver's days where it told some, with the rest of the work around them; and what it proved."""
    if not solver:
        return route
    best = route
    if "starts" in solver:
        days = {key: date.fromisoformat(day) for key, day in solver["starts"].items()}
        crews = {key: tuple(names) for key, names in solver["crews"].items()}
        as_told = replace(problem, fixed={**problem.fixed, **days}, assigned=crews)
        best = min(level_routes(as_told, lambda: False), route, key=lambda each: each.cost)
    least = route.least._replace(late=min(best.cost.late, max(route.least.late, int(solver["bound"]))))
    return replace(best, least=least, tried=route.tried)


@dataclass(frozen=True)
class Kept:
    """The problem with the bookings that can be kept, those that cannot, and what is wrong even without any."""

    problem: RouteProblem
    given_up: tuple[str, ...]
    faults: tuple[list[str], ...] = ()


def keep_bookings(portfolio: Portfolio) -> Kept:
    """Fix the days of booked visits, as many as there is a route for."""
    booked = {key: day for site in portfolio.sites for key, day in site.booked.items()}
    order, given_up = sorted(booked, key=lambda key: (booked[key], key)), list[str]()
    while True:
        fixed = {key: booked[key] for key in order}
        problem = replace(portfolio.problem, fixed=fixed)
        first = level_routes(problem, lambda: False)
        faults = route_faults(problem, first.starts, first.crews)
        if not faults or not order:
            return Kept(problem, tuple(given_up), tuple([fault.kind, *fault.subject] for fault in faults))
        blamed = {subject for fault in faults for subject in fault.subject}
        given_up.append(next((key for key in reversed(order) if key in blamed), order[-1]))
        order.remove(given_up[-1])


def told_of(portfolio: Portfolio, kept: Kept, route: Route) -> dict[str, Any]:
    """An answer as it is kept."""
    return {
        "starts": {key: day.isoformat() for key, day in route.starts.items() if key in route.crews},
        "last": {key: route.last_days[key].isoformat() for key in route.crews},
        "crews": {key: list(names) for key, names in route.crews.items()},
        "ends": _ends(portfolio, route),
        "late": route.cost.late,
        "least": route.least.late,
        "tried": route.tried,
        "given_up": list(kept.given_up),
        "wishes": {},
    }


def _ends(portfolio: Portfolio, route: Route) -> dict[str, str]:
    return {site.uid: route.last_days[site.end].isoformat() for site in portfolio.sites}


class _Run:
    """One run against the clock; what it finds goes to the row as it comes."""

    def __init__(self, row: Levelling) -> None:
        self.row, self.portfolio = row, from_json(row.input)
        self.began = self.looked = self.told = time.monotonic()
        self.stopped = False

    def answer(self) -> dict[str, Any]:
        return solved(
            self.portfolio, self.row.seed, keep_going=self._keep_going, wishing=self._wishing, hear=self._hear,
            solver_seconds=self.row.seconds,
        )  # fmt: skip

    def _keep_going(self) -> bool:
        now = time.monotonic()
        return now - self.began < self.row.seconds and not self._is_stopped(now)

    def _wishing(self, site: str) -> Callable[[], bool]:
        """A share of the time again for the wishes of all sites; a little of it even when stopped."""
        share = WISH_SHARE * self.row.seconds / len(self.portfolio.sites)
        end = time.monotonic() + (share if not self.stopped else min(share, 0.1))
        return lambda: time.monotonic() < end and not self._is_stopped(time.monotonic())

    def _is_stopped(self, now: float) -> bool:
        if not self.stopped and now - self.looked > LOOK_EVERY:
            self.looked = now
            self.stopped = Levelling.objects.filter(pk=self.row.pk, stop_asked_at__isnull=False).exists()
        return self.stopped

    def _hear(self, route: Route | None, tried: int, kept: Kept) -> None:
        now = time.monotonic()
        if route is not None and not route_faults(kept.problem, route.starts, route.crews):
            answer = canonical(told_of(self.portfolio, kept, route))
            Levelling.objects.filter(pk=self.row.pk).update(answer=answer, iterations=tried)
        elif now - self.told > LOOK_EVERY:
            Levelling.objects.filter(pk=self.row.pk).update(iterations=tried)
        else:
            return
        self.told = now
