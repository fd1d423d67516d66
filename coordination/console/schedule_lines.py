"""A schedule as a table, and why each date is what it is."""

from collections.abc import Iterator

from django.utils.translation import gettext as _

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
    yield from titled(_("BEGUN OUT OF ORDER"), ((0, link_words(link)) for link in schedule.out_of_order))
    late = [
        (0, _("%(task)s is %(days)d working days late for the due date of %(due)s") % {
            "task": key, "days": -dates.total_float, "due": dates.due_of or key,
        })
        for key, dates in schedule.tasks.items()
        if dates.total_float is not None and dates.total_float < 0
    ]  # fmt: skip
    yield from titled(_("LATE"), late)


def link_words(link: Link) -> str:
    """A link in the trade's short form: what it waits for, kind, lag."""
    if not link.lag:
        return f"{link.before} {link.kind}"
    unit = _("calendar days") if link.unit == "calendar" else _("working days")
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
