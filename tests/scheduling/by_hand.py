"""The conventions of the schedule, worked out the slow way: day by day, with no tables and no passes.

Only inequalities are written here; dates are found by trying one working day after the other.
"""

from datetime import date, timedelta

from coordination.scheduling.calendars import WorkCalendar
from coordination.scheduling.network import Link, Network, Task

ONE = timedelta(days=1)


def worked(calendar: WorkCalendar, day: date) -> bool:
    return day in calendar.opened or (day.weekday() in calendar.weekdays and day not in calendar.closed)


def next_worked(calendar, day):
    while not worked(calendar, day):
        day += ONE
    return day


def previous_worked(calendar, day):
    while not worked(calendar, day):
        day -= ONE
    return day


def boundary_after(calendar, first, length):
    """The day after the last of ``length`` worked days from ``first`` on, itself worked."""
    day = first
    for _ in range(length - 1):
        day = next_worked(calendar, day + ONE)
    return day + ONE


def moved(calendar, instant, lag):
    for _ in range(lag):
        instant = next_worked(calendar, instant) + ONE
    for _ in range(-lag):
        instant = previous_worked(calendar, instant - ONE)
    return instant


class ByHand:
    """Early and late first days, floats and the end of a small network."""

    def __init__(self, network: Network, later: dict[str, date] | None = None):
        self.network, self.later = network, later or {}
        self.tasks = {task.key: task for task in network.tasks}
        self.base = max(network.start, network.data_date or network.start)
        self.first: dict[str, date] = {}
        for position in network.in_order:
            task = network.tasks[position]
            if not task.finished:
                self.first[task.key] = self._earliest(task)
        self.end = max(self.closing(task.key, self.first.get(task.key)) for task in network.tasks)
        if self.first:
            self.end = max(self.end, self.base)

    def calendar(self, key) -> WorkCalendar:
        return self.network.calendars[self.tasks[key].calendar]

    def length(self, key) -> int:
        task = self.tasks[key]
        return task.duration if task.remaining is None else task.remaining

    def starts(self, key, first) -> date:
        return self.tasks[key].started or first

    def ends(self, key, first) -> date:
        """The instant of its finish as successors see it."""
        task = self.tasks[key]
        if task.finished:
            return task.finished + ONE
        return boundary_after(self.calendar(key), first, self.length(key)) if self.length(key) else first

    def closing(self, key, first) -> date:
        """The instant of its finish as due dates and the end of the project see it."""
        if self.tasks[key].finished or self.length(key):
            return self.ends(key, first)
        return previous_worked(self.calendar(key), first - ONE) + ONE

    def acts(self, link: Link) -> bool:
        before, after = self.tasks[link.before], self.tasks[link.after]
        if after.finished or (after.started and link.kind == "SS"):
            return False
        if after.started and link.kind == "FS":
            return self.network.order == "retained" and not before.finished
        return True

    def holds(self, link: Link, before_first, after_first) -> bool:
        x = (self.ends if link.kind in ("FS", "FF") else self.starts)(link.before, before_first)
        if link.unit == "calendar":
            x += timedelta(days=link.lag)
        else:
            name = link.calendar or self.tasks[link.after].calendar
            x = moved(self.network.calendars[name], x, link.lag)
        if link.kind in ("FS", "SS"):
            return after_first >= x
        return self.ends(link.after, after_first) >= x

    def _earliest(self, task: Task) -> date:
        calendar = self.calendar(task.key)
        floor = self.base if task.started else max(self.base, task.not_before or self.base)
        day = next_worked(calendar, max(floor, self.later.get(task.key, floor)))
        links = [link for link in self.network.links if link.after == task.key and self.acts(link)]
        while not all(self.holds(link, self.first.get(link.before), day) for link in links):
            day = next_worked(calendar, day + ONE)
        return day

    def late(self, heed_due=True) -> dict[str, date]:
        late: dict[str, date] = {}
        for position in reversed(self.network.in_order):
            task = self.network.tasks[position]
            if not task.finished:
                late[task.key] = self._latest(task, late, heed_due)
        return late

    def _latest(self, task, late, heed_due) -> date:
        calendar = self.calendar(task.key)
        limit = min(self.end, task.due + ONE) if task.due and heed_due else self.end
        links = [link for link in self.network.links if link.before == task.key and self.acts(link)]
        if task.started:
            links = [link for link in links if link.kind in ("FS", "FF")]
        day = previous_worked(calendar, self.end + timedelta(days=30))
        while self.closing(task.key, day) > limit or not all(
            self.holds(link, day, late[link.after]) for link in links
        ):
            day = previous_worked(calendar, day - ONE)
        return day

    def count(self, key, begin, end) -> int:
        """Working days from begin to end, negative when end is earlier."""
        if end < begin:
            return -self.count(key, end, begin)
        return sum(worked(self.calendar(key), begin + n * ONE) for n in range((end - begin).days))
