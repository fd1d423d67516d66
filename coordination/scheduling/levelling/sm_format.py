"""Reads single-mode instances in the open PSPLIB .sm format.

Source: R. Kolisch, A. Sprecher, PSPLIB - a project scheduling problem library, European Journal of Operational
Research 96 (1997) 205-216. Job numbers become task keys; every day is worked and day 0 is 2000-01-01.
"""

from __future__ import annotations

from datetime import date

from ..calendars import EVERY_DAY, WorkCalendar
from ..network import Link, Network, NetworkError, Problem, Task
from .problem import Crew, CrewProblem

DAY_0 = date(2000, 1, 1)
MOST_DAYS = 100_000
TITLES = "PRECEDENCE RELATIONS", "REQUESTS/DURATIONS", "RESOURCEAVAILABILITIES"


def read_sm(text: str) -> CrewProblem:
    """One .sm file as a problem. Raises NetworkError when it is not one, or has several modes.

    Line ends and spacing may be any; what is said of the project outside the three sections is not looked at.
    """
    try:
        following, requests, counts = _sections(text)
        if any(row[1] != 1 for row in [*following, *requests]):
            raise NetworkError([Problem("several modes", (), "one mode for each job")])
        durations, after = {row[0]: row[2] for row in requests}, {row[0]: _after(row) for row in following}
        _check(durations, after, len(requests), len(following))
        needs = {str(row[0]): _needs(row[3:], counts) for row in requests}
    except (IndexError, ValueError) as fault:
        if isinstance(fault, NetworkError):
            raise
        raise NetworkError([Problem("not a readable .sm file", (), str(fault))]) from None
    calendar = WorkCalendar(DAY_0, sum(durations.values()) + 2, EVERY_DAY)
    tasks = tuple(Task(str(number), days, "days") for number, days in durations.items())
    links = tuple(Link(str(number), str(other)) for number, others in after.items() for other in others)
    crews = {f"R{number}": Crew(count) for number, count in enumerate(counts, 1)}
    return CrewProblem(Network(tasks, links, {"days": calendar}, DAY_0), crews, needs)


def _sections(text: str) -> tuple[list[list[int]], list[list[int]], list[int]]:
    """The rows of jobs and what follows them, of their lengths and needs, and the number of each resource."""
    found: dict[str, list[list[int]]] = {}
    rows: list[list[int]] = []
    for line in text.lstrip("\ufeff").rstrip("\x1a").splitlines():
        words = line.split()
        if title := next((title for title in TITLES if line.strip().startswith(title)), None):
            rows = found.setdefault(title, [])
        elif line.strip().startswith("*"):
            rows = []
        elif "N" in words and rows is found.get(TITLES[1]):
            raise ValueError("only renewable resources are read")
        elif words and words[0].lstrip("-").isdigit():
            rows.append([int(word) for word in words])
    for title in TITLES:
        if not found.get(title):
            raise ValueError(f"no section {title}")
    return found[TITLES[0]], found[TITLES[1]], [count for row in found[TITLES[2]] for count in row]


def _after(row: list[int]) -> list[int]:
    """The jobs that follow the one of this row, as many as it says."""
    if len(row) < 3 or len(row) != 3 + row[2]:
        raise ValueError(f"job {row[0]} does not name as many successors as it says")
    return row[3:]


def _check(durations: dict[int, int], after: dict[int, list[int]], requests: int, following: int) -> None:
    if len(durations) != requests or len(after) != following:
        raise ValueError("a job is there twice")
    if odd := sorted(durations.keys() ^ after.keys()):
        raise ValueError(f"job {odd[0]} is not in both sections of jobs")
    if min(durations.values()) < 0 or sum(durations.values()) > MOST_DAYS:
        raise ValueError(f"durations of 0 or more that add up to {MOST_DAYS} at most")


def _needs(row: list[int], counts: list[int]) -> dict[str, int]:
    if len(row) != len(counts):
        raise ValueError("a job does not name every resource")
    return {f"R{number}": need for number, need in enumerate(row, 1) if need}
