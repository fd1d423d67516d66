"""Networks from JSON.

A network is one object::

    {"start": "2026-03-02",
     "tasks": [{"key": "A", "duration": 2}, {"key": "B", "duration": 3, "due": "2026-03-06"}],
     "links": [{"before": "A", "after": "B", "kind": "SS", "lag": 1}]}

Without calendars every day is worked, so the answer counts plain units of time. With calendars, progress and
three-point durations::

    {"start": "2026-03-02", "data_date": "2026-03-10", "order": "retained",
     "calendars": {"site": {"weekdays": ["monday", "tuesday", "wednesday", "thursday", "friday"],
                            "closed": ["2026-05-25", "2026-12-24/2027-01-01"], "opened": ["2026-03-14"]}},
     "tasks": [{"key": "pour", "duration": 3, "calendar": "site", "started": "2026-03-09", "remaining": 2},
               {"key": "strip", "calendar": "site", "estimate": {"low": 1, "likely": 2, "high": 4},
                "cause": "rain", "not_before": "2026-03-12", "due": "2026-03-27"},
               {"key": "gate", "milestone": true, "calendar": "site"}],
     "links": [{"before": "pour", "after": "strip", "lag": 5, "unit": "calendar"},
               {"before": "strip", "after": "gate", "lag": 1, "unit": "working", "calendar": "site"}]}

The whole form with both answers stands in docs/networks.md; a test runs what is written there.

- Dates are ISO 8601 days; ``closed`` and ``opened`` also take intervals ``first/last``, both days included.
- ``order``: "retained" (begun work still waits for what it was to follow; the default) or "override".
- A task needs ``key``, and ``duration`` in working days or an ``estimate`` (P10, most likely, P90), whose most
  likely value is then the duration. A milestone needs neither. ``calendar`` may be left out when there is one.
- A link needs ``before`` and ``after``; ``kind`` is "FS", "SS", "FF" or "SF", ``lag`` a whole number of days,
  ``unit`` "working" or "calendar"; ``calendar`` names whose working days the lag counts, else the successor's.
- Tasks that share a ``cause`` go long or short together in a forecast.

The calendars reach as far back and ahead as the tasks can need.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import ceil
from typing import Any, TypeVar

from .calendars import EVERY_DAY, MONDAY_TO_FRIDAY, CalendarError, WorkCalendar
from .estimates import Estimate, EstimateError
from .network import Link, Network, NetworkError, Problem, Task

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
MARGIN_DAYS = 400
MOST_DAYS = 200_000
SHOWN = 40
T = TypeVar("T")


@dataclass(frozen=True)
class NetworkDocument:
    """What a JSON network says: the network, and by task key the estimates and the causes shared."""

    network: Network
    estimates: Mapping[str, Estimate]
    causes: Mapping[str, str]


def read_network(text: str | bytes) -> NetworkDocument:
    """Read one JSON network. Raises NetworkError that names every entry found wrong, and what would be right."""
    problems: list[Problem] = []
    try:
        content = json.loads(text, object_pairs_hook=lambda pairs: _without_repeats(pairs, problems))
    except (ValueError, RecursionError) as fault:
        raise NetworkError([Problem("not readable as JSON", (), str(fault))]) from None
    document = _document(_Entry(content, "network", problems))
    if document is None or problems:
        raise NetworkError(problems)
    return document


class _Wrong(Exception):
    """A value that is not what was wanted."""


class _Entry:
    """One JSON object being read. What is wrong goes to ``problems``, so that all of it is told at once."""

    def __init__(self, content: Any, name: str, problems: list[Problem]) -> None:
        self.name, self.problems, self.read = name, problems, set[str]()
        self.content: dict[str, Any] = content if isinstance(content, dict) else {}
        if not isinstance(content, dict):
            self.complain("not an object", wanted="{...}")

    def complain(self, kind: str, field: str = "", wanted: str = "") -> None:
        self.problems.append(Problem(kind, (self.name, field) if field else (self.name,), wanted))

    def take(self, field: str, convert: Callable[[Any], T], default: T, needed: bool = False) -> T:
        """The converted field; ``default`` where it is absent, null or wrong."""
        self.read.add(field)
        value = self.content.get(field)
        if value is None:
            if needed:
                self.complain("missing", field)
            return default
        try:
            return convert(value)
        except _Wrong as wrong:
            self.complain("wrong value", field, f"{wrong}, not {_shown(value)}")
            return default

    def entries(self, field: str) -> list[_Entry]:
        """The objects listed in a field, each named by its key where it has one."""
        values = self.take(field, _list, list[Any]())
        names = (value.get("key") if isinstance(value, dict) else None for value in values)
        return [
            _Entry(value, f"{field} {number}" + (f" ({name})" if name else ""), self.problems)
            for number, (value, name) in enumerate(zip(values, names, strict=True), 1)
        ]

    def close(self) -> None:
        """Complain about fields that nothing asked for."""
        for field in self.content:
            if field not in self.read:
                self.complain("unknown field", field, ", ".join(sorted(self.read)))


def _document(entry: _Entry) -> NetworkDocument | None:
    start = entry.take("start", _day, None, needed=True)
    data_date = entry.take("data_date", _day, None)
    order = entry.take("order", _text, "retained")
    calendars = _calendars(entry)
    read = [_task(task, calendars) for task in entry.entries("tasks")]
    links = tuple(_link(link) for link in entry.entries("links"))
    if "tasks" not in entry.content:
        entry.complain("missing", "tasks")
    entry.close()
    if entry.problems or start is None:
        return None
    tasks = tuple(task for task, _, _ in read)
    days = [start, *([data_date] if data_date else [])]
    narrow = _widened(calendars, tasks, days, sum(abs(link.lag) for link in links) * 7)
    network = Network(tasks, links, narrow, start, data_date, order)  # type: ignore[arg-type]
    wide = _widened(calendars, tasks, days, _longest_way(network))
    return NetworkDocument(
        replace(network, calendars=wide),
        {task.key: estimate for task, estimate, _ in read if estimate},
        {task.key: cause for task, _, cause in read if cause},
    )


def _calendars(entry: _Entry) -> dict[str, WorkCalendar]:
    named = entry.take("calendars", _mapping, dict[str, Any]())
    if not named:
        return {"every day": WorkCalendar(date(2000, 1, 1), 7, EVERY_DAY)}
    return {
        name: _calendar(_Entry(value, f"calendars {name}", entry.problems)) for name, value in named.items()
    }


def _calendar(entry: _Entry) -> WorkCalendar:
    weekdays = entry.take("weekdays", _weekdays, MONDAY_TO_FRIDAY)
    closed = entry.take("closed", _days, frozenset[date]())
    opened = entry.take("opened", _days, frozenset[date]())
    entry.close()
    first = min(opened, default=date(2000, 1, 1))
    try:
        return WorkCalendar(first, 800, weekdays, closed, opened)
    except CalendarError as fault:
        entry.complain(fault.kind, ", ".join(day.isoformat() for day in fault.days))
        return WorkCalendar(first, 800)


def _task(entry: _Entry, calendars: Mapping[str, WorkCalendar]) -> tuple[Task, Estimate | None, str]:
    estimate = entry.take("estimate", _estimate, None)
    cause = entry.take("cause", _text, "")
    milestone = entry.take("milestone", _flag, False)
    only = next(iter(calendars)) if len(calendars) == 1 else ""
    task = Task(
        key=entry.take("key", _text, "", needed=True),
        duration=entry.take(
            "duration", _whole, estimate.likely if estimate else 0, needed=estimate is None and not milestone
        ),
        calendar=entry.take("calendar", _text, only, needed=not only),
        not_before=entry.take("not_before", _day, None),
        due=entry.take("due", _day, None),
        started=entry.take("started", _day, None),
        remaining=entry.take("remaining", _whole, None),
        finished=entry.take("finished", _day, None),
        milestone=milestone,
    )
    entry.close()
    return task, estimate, cause


def _link(entry: _Entry) -> Link:
    link = Link(
        before=entry.take("before", _text, "", needed=True),
        after=entry.take("after", _text, "", needed=True),
        kind=entry.take("kind", _text, "FS").upper(),  # type: ignore[arg-type]
        lag=entry.take("lag", _whole, 0),
        unit=entry.take("unit", _text, "working"),  # type: ignore[arg-type]
        calendar=entry.take("calendar", _text, None),
    )
    entry.close()
    return link


def _widened(
    calendars: Mapping[str, WorkCalendar], tasks: tuple[Task, ...], days: list[date], reach: int
) -> dict[str, WorkCalendar]:
    """The calendars over all days named, and ``reach`` days and a margin before and after them."""
    given = [day for task in tasks for day in (task.not_before, task.due, task.started, task.finished) if day]
    closed = max((len(calendar.closed) for calendar in calendars.values()), default=0)
    reach += 2 * closed + MARGIN_DAYS
    if reach > MOST_DAYS:
        raise NetworkError(
            [Problem("takes longer than can be counted", ("network",), f"at most {MOST_DAYS} days")]
        )
    room = timedelta(days=reach)
    try:
        first, last = min([*days, *given]) - room, max([*days, *given]) + room
    except OverflowError:
        raise NetworkError([Problem("leaves the years 1 to 9999", ("network",))]) from None
    return {name: calendar.over(first, (last - first).days) for name, calendar in calendars.items()}


def _longest_way(network: Network) -> int:
    """Days that no chain of tasks and lags can exceed, closed days apart."""
    before: dict[str, list[tuple[str, int]]] = {task.key: [] for task in network.tasks}
    for link in network.links:
        name = link.calendar or network.tasks[network.position[link.after]].calendar
        before[link.after].append((link.before, _at_most(network.calendars[name], abs(link.lag))))
    reach: dict[str, int] = {}
    for position in network.in_order:
        task = network.tasks[position]
        own = _at_most(network.calendars[task.calendar], max(task.duration, task.remaining or 0))
        reach[task.key] = own + max((reach[key] + lag for key, lag in before[task.key]), default=0)
    return max(reach.values(), default=0)


def _at_most(calendar: WorkCalendar, working_days: int) -> int:
    return ceil((working_days + 2) * 7 / max(1, len(calendar.weekdays)))


def _without_repeats(pairs: list[tuple[str, Any]], problems: list[Problem]) -> dict[str, Any]:
    names = [name for name, _ in pairs]
    problems += [Problem("field used twice", (name,)) for name in sorted(set(names)) if names.count(name) > 1]
    return dict(pairs)


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise _Wrong("a text")
    return value


def _flag(value: Any) -> bool:
    if not isinstance(value, bool):
        raise _Wrong("true or false")
    return value


def _whole(value: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or abs(value) > MOST_DAYS:
        raise _Wrong(f"a whole number of days, at most {MOST_DAYS}")
    return value


def _day(value: Any) -> date:
    try:
        return date.fromisoformat(_text(value))
    except (ValueError, _Wrong):
        raise _Wrong("a day such as 2026-03-02") from None


def _list(value: Any) -> list[Any]:
    if not isinstance(value, list):
        raise _Wrong("[...]")
    return value


def _mapping(value: Any) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise _Wrong("{...}")
    return value


def _weekdays(value: Any) -> frozenset[int]:
    """Weekdays by name, whole or the first three letters, in any case."""
    numbers = {name[:length]: number for number, name in enumerate(WEEKDAYS) for length in (3, None)}
    names = [str(name).lower() for name in value] if isinstance(value, list) else [""]
    if not set(names) <= set(numbers):
        raise _Wrong(f"some of {', '.join(WEEKDAYS)}")
    return frozenset(numbers[name] for name in names)


def _shown(value: Any) -> str:
    """What was given, as far as it helps to find it."""
    text = json.dumps(value, ensure_ascii=False, default=str)
    return text if len(text) <= SHOWN else f"{text[:SHOWN]}…"


def _days(value: Any) -> frozenset[date]:
    found: set[date] = set()
    for text in _list(value):
        first, _, last = _text(text).partition("/")
        begin, end = _day(first), _day(last or first)
        if not 0 <= (end - begin).days <= 3660:
            raise _Wrong("intervals such as 2026-12-24/2027-01-01, of ten years at most")
        found |= {begin + timedelta(days=n) for n in range((end - begin).days + 1)}
    return frozenset(found)


def _estimate(value: Any) -> Estimate:
    fields = _mapping(value)
    if set(fields) != {"low", "likely", "high"}:
        raise _Wrong("low, likely and high")
    try:
        return Estimate(**{name: _whole(days) for name, days in fields.items()})
    except EstimateError as fault:
        raise _Wrong(str(fault)) from None
