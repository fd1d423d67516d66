"""What is wrong with a network or with crews, in words: which entry, what, and what would be right."""

from collections.abc import Iterable, Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from coordination.scheduling.network import Problem

WRONG: Mapping[str, str | Promise] = {
    "calendar lag in a named calendar": _("a lag in calendar days names a calendar"),
    "closed and opened": _("these days are both closed and opened"),
    "crew count out of range": _("a number of crews out of range"),
    "duration is no whole number of days": _("the duration is no whole number of days"),
    "empty key": _("a task without a key"),
    "field used twice": _("a field given twice"),
    "finished before it began": _("finished before it began"),
    "finished but not begun": _("finished but not begun"),
    "finished with work remaining": _("finished, with work remaining"),
    "horizon too short": _("the calendar has no days"),
    "key used twice": _("two tasks of this key"),
    "lag is no whole number": _("the lag is no whole number of days"),
    "lag longer than the calendars": _("the lag is longer than the calendars"),
    "leaves the years 1 to 9999": _("the dates leave the years 1 to 9999"),
    "link to an unknown task": _("the link names a task that there is not"),
    "link to itself": _("a task cannot wait for itself"),
    "milestone with a duration": _("a milestone takes no time"),
    "missing": _("is missing"),
    "moved": _("work that stands was moved"),
    "needs more crews than there are": _("needs more crews than there are"),
    "negative weight": _("a negative weight"),
    "negative travel": _("a negative time to travel"),
    "no calendar": _("there is no calendar"),
    "no common working day": _("there is no day on which all of them work"),
    "no such weekday": _("there is no such weekday"),
    "no working day": _("no day is worked"),
    "not a readable .sm file": _("not a readable .sm file"),
    "not an object": _("is not an object"),
    "not readable as JSON": _("not readable as JSON"),
    "progress after the data date": _("it happened after the data date"),
    "progress without a data date": _("there is progress, but no data date"),
    "remaining is no whole number of days": _("the remaining work is no whole number of days"),
    "remaining work of a task not begun": _("work remains of a task that has not begun"),
    "ring of links": _("these tasks wait for each other in a ring"),
    "several modes": _("a job with several modes"),
    "takes longer than can be counted": _("takes longer than can be counted"),
    "unknown calendar": _("there is no such calendar"),
    "unknown crew": _("there is no such crew"),
    "unknown field": _("there is no such field"),
    "unknown kind of link": _("there is no such kind of link"),
    "unknown order": _("there is no such order"),
    "unknown task": _("there is no such task"),
    "unknown unit of lag": _("there is no such unit of lag"),
    "wrong value": _("is not what it should be"),
}

UNREADABLE = ("not readable as JSON", "not a readable .sm file")


def sentences(problems: Iterable[Problem]) -> list[str]:
    """One line for each problem; the keys of a ring or a link stand in their order."""
    return [_sentence(problem) for problem in problems]


def _sentence(problem: Problem) -> str:
    subject = " > ".join(problem.subject)
    line = ": ".join(part for part in (subject, str(WRONG[problem.kind])) if part)
    if not problem.wanted:
        return line
    if problem.kind in UNREADABLE:
        return f"{line}: {problem.wanted}"
    return _now("%(line)s; wanted: %(wanted)s") % {"line": line, "wanted": problem.wanted}
