"""Work that cannot keep a day that somebody wants: how far behind, and which day causes it."""

from collections.abc import Callable
from datetime import date

from django.utils.translation import ngettext

from coordination.dates.queries import DatedPlan
from coordination.web.texts import on_day


def behind_words(dated: DatedPlan, key: str, name_of: Callable[[str], str]) -> str:
    """Negative float in a sentence with the day that causes it; empty where there is none."""
    dates = dated.tasks[key]
    if dates.total_float is None or dates.total_float >= 0:
        return ""
    cause = dates.due_of or key
    told = {"days": -dates.total_float, "task": name_of(cause), "day": _day(due_of(dated, cause))}
    if cause == key:
        sentence = ngettext(
            "%(days)s working day behind: it is to be done by %(day)s",
            "%(days)s working days behind: it is to be done by %(day)s",
            told["days"],
        )
    else:
        sentence = ngettext(
            "%(days)s working day behind: “%(task)s” is to be done by %(day)s",
            "%(days)s working days behind: “%(task)s” is to be done by %(day)s",
            told["days"],
        )
    return sentence % told


def due_of(dated: DatedPlan, key: str) -> date | None:
    """The day by which a task is wanted, its own or its package's, as it was reckoned with."""
    network = dated.schedule.network
    return network.tasks[network.position[key]].due


def _day(day: date | None) -> str:
    return f"{on_day(day)} {day.year}" if day else ""
