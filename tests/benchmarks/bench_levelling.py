"""Levelling against best known answers, and a portfolio of jobs against the constraint solver alone.

The instances are those of PSPLIB (Kolisch and Sprecher, European Journal of Operational Research 96 (1997) 205-216) with
a table of best known lengths, best_known.csv, in PSPLIB_DIR or ../shared/psplib beside the repository. LEVEL_SECONDS
(5) is the time for each, LEVEL_EVERY (1) takes every n-th instance only. On a machine that does other work besides,
LEVEL_CLOCK=processor counts the seconds that a processor worked for us instead of those that passed.
"""

# ruff: noqa: T201

import csv
import os
import random
import threading
import time
from datetime import date, timedelta
from pathlib import Path

import pytest

from coordination.scheduling.calendars import EVERY_DAY, WorkCalendar
from coordination.scheduling.critical_path import schedule
from coordination.scheduling.levelling import cp_sat
from coordination.scheduling.levelling.checker import faults
from coordination.scheduling.levelling.generation import Shop
from coordination.scheduling.levelling.level import level
from coordination.scheduling.levelling.problem import Crew, CrewProblem
from coordination.scheduling.levelling.sm_format import read_sm
from coordination.scheduling.network import Link, Network, Task

ROOT = Path(__file__).resolve().parents[2]
INSTANCES = Path(os.environ.get("PSPLIB_DIR") or ROOT.parent / "shared" / "psplib")
SECONDS = float(os.environ.get("LEVEL_SECONDS", "5"))
HOUR = 3600.0
EVERY = int(os.environ.get("LEVEL_EVERY", "1"))


def clock(threads):
    """Seconds that passed, or that a processor worked for each of our threads."""
    if os.environ.get("LEVEL_CLOCK") == "processor":
        return lambda: time.process_time() / threads
    return time.monotonic


def levelled(problem, seconds, workers=2, seed=1):
    """The solver works in a thread of this process, a second search in a process of its own."""
    now = clock(workers if cp_sat.is_modelled(Shop(problem)) else 1)
    end = now() + seconds
    return level(problem, lambda: now() < end, seed=seed, workers=workers, solver_seconds=HOUR)


def solved_alone(shop, first, seconds, workers=2):
    """What the solver finds by itself from the schedule ``first``, or None."""
    solver, now = cp_sat.Solver(shop, first, 1, workers), clock(workers)
    found = []
    thread = threading.Thread(target=lambda: found.append(solver.solve(HOUR)))
    end = now() + seconds
    thread.start()
    while thread.is_alive() and now() < end:
        thread.join(0.1)
    solver.stop()
    thread.join()
    return found[0]


@pytest.mark.parametrize(("kind", "most"), [("j30", 0.0), ("j60", 0.5), ("j120", 2.0)])
def test_open_instances_against_best_known(kind, most):
    """Mean percent above best known within LEVEL_SECONDS on two cores; every answer passes the checker."""
    table = INSTANCES / "best_known.csv"
    if not table.exists():
        pytest.skip(f"no instances: {table} is not there; set PSPLIB_DIR")
    rows = [row for row in csv.DictReader(table.read_text().splitlines()) if row["set"] == kind][::EVERY]
    above, proved, tried = [], 0, 0
    for row in rows:
        problem = read_sm((INSTANCES / kind / row["file"]).read_text())
        answer = levelled(problem, SECONDS)
        assert faults(problem, answer.starts) == ()
        assert answer.bound <= int(row["best_known_makespan"])
        above.append(100 * (answer.cost.length / int(row["best_known_makespan"]) - 1))
        proved, tried = proved + answer.optimal, tried + answer.tried
    mean = sum(above) / len(above)
    print(
        f"\n{kind}, {len(rows)} instances, {SECONDS:g} s: {mean:.2f} % above best known,"
        f" {proved} proved, {tried / len(rows):.0f} schedules each"
    )
    assert mean <= most


TRADES = ("concrete", "framing", "electrical", "sprinkler", "drywall", "doors", "plumbing", "lift")
HOLIDAYS = frozenset({date(2026, 5, 25), date(2026, 7, 3), date(2026, 9, 7), date(2026, 11, 26)})
WEEKDAYS = {
    "site": frozenset(range(5)),
    "six days": frozenset(range(6)),
    "four days": frozenset(range(4)),
    "every day": EVERY_DAY,
}


def portfolio(jobs, seed=1):
    """Jobs of 25 tasks over eight trades, due at their own finish without crews and 15 percent of their length."""
    chance, start = random.Random(seed), date(2026, 3, 2)
    calendars = {
        name: WorkCalendar(date(2025, 6, 1), 2200, days, HOLIDAYS) for name, days in WEEKDAYS.items()
    }
    template = [(chance.choice(TRADES), chance.randint(1, 6), chance.choice([*WEEKDAYS])) for _ in range(25)]
    pairs = [
        (n - chance.randint(1, min(n, 4)), n) for n in range(1, 25) for _ in range(chance.choice([1, 2]))
    ]
    tasks, links, needs, weights, groups = [], [], {}, {}, {}
    for job in range(jobs):
        begin = start + timedelta(days=chance.randint(0, 40))
        keys = [f"{job}-{n}" for n in range(25)]
        own = [
            Task(key, max(1, days + chance.randint(-1, 2)), name, begin)
            for key, (_, days, name) in zip(keys, template, strict=True)
        ]
        joined = [
            Link(keys[a], keys[b], "FS", 5 if b % 8 == 0 else 0, "calendar") for a, b in sorted(set(pairs))
        ]
        end = schedule(Network(tuple(own), tuple(joined), calendars, start)).end
        due = end + timedelta(days=round(0.15 * (end - begin).days)) - timedelta(days=1)
        tasks += [Task(t.key, t.duration, t.calendar, begin, due) if t is own[-1] else t for t in own]
        links += joined
        weights[keys[-1]] = chance.randint(1, 5)
        for key, (trade, _, _) in zip(keys, template, strict=True):
            needs[key], groups[key] = {trade: 1}, str(job)
    crews = {trade: Crew(chance.randint(1, 3)) for trade in TRADES}
    return CrewProblem(
        Network(tuple(tasks), tuple(links), calendars, start), crews, needs, weights, groups=groups
    )


def test_a_portfolio_against_the_solver_alone():
    """15 jobs of 25 tasks: 5 s beat the solver's 20 s from the same first schedule, and come within 6 % of our own 20 s."""
    problem = portfolio(15)
    shop = Shop(problem)
    first = shop.generate(shop.in_order(shop.latest_starts()))
    solved = solved_alone(shop, first, 20)
    short, long = levelled(problem, 5), levelled(problem, 20)
    for answer in (short, long):
        assert faults(problem, answer.starts) == ()
    alone = min(solved.cost, shop.cost(first)) if solved else shop.cost(first)
    print(
        f"\n15 jobs x 25 tasks, weighted days late: by due date {shop.cost(first).late}, solver alone 20 s {alone.late},"
        f" ours 5 s {short.cost.late} ({short.tried} schedules), 20 s {long.cost.late}"
    )
    assert short.cost < alone
    assert short.cost.late <= 1.06 * long.cost.late
