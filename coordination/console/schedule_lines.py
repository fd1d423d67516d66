"""A schedule as a table, and why each date is what it is."""

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.console.lines import Line, as_text, table, titled
from coordination.scheduling.critical_path import Dates, Schedule
from coordination.scheduling.network import Link


def schedule_text(schedule: Schedule) -> str:
    """Dates of every task, the critical chain, what hangs loose and what was begun out of order."""
    parts = [as_text(_heading(schedule)), "", *_dates(schedule), as_text(_remarks(schedule))]
    return "\n".join(parts).rstrip()


def _heading(schedule: Schedule) -> Iterator[Line]:
    start = schedule.network.start
    yield (
        0,
        _("%(first)s to %(last)s, %(days)d days")
        % {
            "first": start.isoformat(),
            "last": schedule.last_day.isoformat(),
            "days": (schedule.end - start).days,
        },
    )
    yield 0, _("Critical chain: %(chain)s") % {"chain": " > ".join(schedule.critical_chain) or _("none")}


def _dates(schedule: Schedule) -> list[str]:
    """One row for each task in the order given; ``*`` marks a critical one."""
    early, late = [_("early start"), _("last day")], [_("late start"), _("last day")]
    headings = [_("task"), *early, *late, _("float"), _("free"), "", _("because")]
    rows = [
        [
            key,
            dates.early_start.isoformat(),
            dates.early_last_day.isoformat(),
            dates.late_start.isoformat(),
            dates.late_last_day.isoformat(),
            _days(dates.total_float),
            _days(dates.free_float),
            "*" if dates.critical else "",
            _because(dates),
        ]
        for key, dates in schedule.tasks.items()
    ]
    return table(headings, rows, right=frozenset({5, 6}))


def _remarks(schedule: Schedule) -> Iterator[Line]:
    """Open ends, links that were overtaken, and due dates that cannot be kept."""
    ends = {"start": _("%(task)s waits for nothing"), "finish": _("nothing waits for %(task)s")}
    yield from titled(
        _("OPEN ENDS"), ((0, ends[each.end] % {"task": each.key}) for each in schedule.open_ends)
    )
    yield from titled(_("BEGUN OUT OF ORDER"), _out_of_order(schedule))
    yield from titled(_("LATE"), _late(schedule))


def _out_of_order(schedule: Schedule) -> Iterator[Line]:
    """What has begun, or finished, before its turn, and what that does in this order of work."""
    for link in schedule.out_of_order:
        told = {"task": link.after, "link": link_words(link)}
        if link.kind in ("FS", "SS"):
            yield 0, _("%(task)s has begun, although it waits for %(link)s") % told
        else:
            yield 0, _("%(task)s has finished, although its end waits for %(link)s") % told
    if schedule.out_of_order and schedule.network.order == "retained":
        yield 0, _("The planned order is kept: the rest of such work waits for what it was to follow.")
    elif schedule.out_of_order:
        yield 0, _("Begun work goes on: the rest of it does not wait for what it was to follow.")


def _late(schedule: Schedule) -> Iterator[Line]:
    """Each task with negative float, and the due date that causes it."""
    tasks = {task.key: task for task in schedule.network.tasks}
    for key, dates in schedule.tasks.items():
        if dates.total_float is not None and dates.total_float < 0:
            cause = tasks[dates.due_of or key]
            told = {"task": key, "days": -dates.total_float, "due": cause.key, "day": cause.due}
            sentence = ngettext(
                "%(task)s is %(days)d working day late for the due date of %(due)s, %(day)s",
                "%(task)s is %(days)d working days late for the due date of %(due)s, %(day)s",
                told["days"],
            )
            yield 0, sentence % told


def link_words(link: Link) -> str:
    """A link in the trade's short form: what it waits for, kind, lag."""
    if not link.lag:
        return f"{link.before} {link.kind}"
    if link.unit == "calendar":
        unit = ngettext("calendar day", "calendar days", abs(link.lag))
    else:
        unit = ngettext("working day", "working days", abs(link.lag))
    return f"{link.before} {link.kind}{link.lag:+d} {unit}"


def _because(dates: Dates) -> str:
    if dates.driver:
        return link_words(dates.driver)
    return {
        "project start": _("start of the project"),
        "data date": _("data date"),
        "not before": _("not before this day"),
        "begun": _("begun"),
        "finished": _("finished"),
        "link": "",
    }[dates.because]


def _days(number: int | None) -> str:
    return "" if number is None else str(number)
