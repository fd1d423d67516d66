"""Why a date is what it is, in words."""

from collections.abc import Callable

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.scheduling.critical_path import Dates
from coordination.scheduling.network import Link


def why_words(dates: Dates, name_of: Callable[[str], str]) -> str:
    """What sets the first day: the link that drives it, or a date."""
    if dates.because == "link" and dates.driver is not None:
        return after_words(dates.driver, name_of)
    return {
        "project start": _("the first day of the job"),
        "data date": _("not begun before today"),
        "not before": _("not before, set by hand"),
        "begun": _("begun on this day"),
        "finished": _("finished"),
    }.get(dates.because, "")


def after_words(link: Link, name_of: Callable[[str], str]) -> str:
    """What a link waits for, with its lag."""
    words = {
        "FS": _("after “%(name)s”"),
        "SS": _("with the begin of “%(name)s”"),
        "FF": _("ends with “%(name)s”"),
        "SF": _("ends with the begin of “%(name)s”"),
    }[link.kind] % {"name": name_of(link.before)}
    if not link.lag:
        return words
    if link.unit == "working":
        lag = ngettext("%(n)s working day", "%(n)s working days", abs(link.lag)) % {"n": link.lag}
    else:
        lag = ngettext("%(n)s calendar day", "%(n)s calendar days", abs(link.lag)) % {"n": link.lag}
    return _("%(words)s and %(lag)s") % {"words": words, "lag": lag}
