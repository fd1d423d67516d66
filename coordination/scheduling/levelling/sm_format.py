"""Reads single-mode instances in the open PSPLIB .sm format.

Source: R. Kolisch, A. Sprecher, PSPLIB - a project scheduling problem library, European Journal of Operational
Research 96 (1997) 205-216. Job numbers become task keys; every day is worked and day 0 is 2000-01-01.
"""

from __future__ import annotations

from datetime import date
from itertools import takewhile

from ..calendars import EVERY_DAY, WorkCalendar
from ..network import Link, Network, NetworkError, Problem, Task
from .problem import Crew, CrewProblem

DAY_0 = date(2000, 1, 1)


def read_sm(text: str) -> CrewProblem:
    """One .sm file as a problem. Raises NetworkError when it is not one, or has several modes."""
    lines = text.splitlines()
    try:
        following = _rows(lines, "PRECEDENCE RELATIONS", 2)
        requests = _rows(lines, "REQUESTS/DURATIONS", 3)
        (counts,) = _rows(lines, "RESOURCEAVAILABILITIES", 2)
        durations = {row[0]: row[2] for row in requests}
        if any(row[1] != 1 for row in following) or len(durations) < len(requests):
            raise NetworkError([Problem("several modes", (), "one mode for each job")])
        links = tuple(Link(str(row[0]), str(after)) for row in following for after in row[3 : 3 + row[2]])
        needs = {str(row[0]): _needs(row[3:], counts) for row in requests}
    except (IndexError, ValueError) as fault:
        if isinstance(fault, NetworkError):
            raise
        raise NetworkError([Problem("not a readable .sm file", (), str(fault))]) from None
    calendar = WorkCalendar(DAY_0, sum(durations.values()) + 2, EVERY_DAY)
    tasks = tuple(Task(str(number), days, "days") for number, days in durations.items())
    crews = {f"R{number}": Crew(count) for number, count in enumerate(counts, 1)}
    return CrewProblem(Network(tasks, links, {"days": calendar}, DAY_0), crews, needs)


def _rows(lines: list[str], title: str, skip: int) -> list[list[int]]:
    """The rows of numbers of one section, up to its line of asterisks."""
    begin = next((n for n, line in enumerate(lines) if line.startswith(title)), None)
    if begin is None:
        raise ValueError(f"no section {title}")
    rows = takewhile(lambda line: line.strip() and not line.startswith("*"), lines[begin + skip :])
    return [[int(word) for word in row.split()] for row in rows]


def _needs(row: list[int], counts: list[int]) -> dict[str, int]:
    if len(row) != len(counts):
        raise ValueError("a job does not name every resource")
    return {f"R{number}": need for number, need in enumerate(row, 1) if need}
