"""Sentences for the reasons of this floor."""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

SENTENCES: Mapping[str, str | Promise] = {
    "no visit named": _("Say which visit is booked."),
    "day is over": _("%(day)s is over; choose a day to come."),
    "confirm by after the visit": _("Confirm by %(confirm_by)s cannot be after the visit on %(day)s."),
    "booked already": _("This visit is booked for %(day)s; move that booking."),
    "moved already": _("This booking was moved in the meantime; look at the visits again."),
    "cost out of range": _("The cost of a wasted trip cannot be negative."),
    "no such task": _("%(typed)s is no task of the plan; choose one of the list."),
    "a task does not wait for itself": _("A task cannot wait for itself: choose two."),
    "no such link": _("A link is one of %(kinds)s, its lag in days that are one of: %(units)s."),
    "lag out of range": _("A lag lies between %(most)s days before and %(most)s days after."),
    "link closes a ring": _("This would close a ring: the second task is waited for by the first already."),
    "linked already": _("These two are linked already; take that link back first."),
    "notice out of range": _("Days of notice lie between 0 and %(most)s."),
    "nobody called": _("Say who was called, in no more than 160 characters."),
    "no such outcome": _("Say what came of the call: %(choices)s."),
    "call key used": _("This page is out of date. Open today’s calls again."),
    "no such order of work": _("%(typed)s is no order of work; choose one of: %(orders)s."),
    # the contractor's own days, from a file
    "file without lines": _("The file has no lines. Download the table, fill in the days, and send that."),
    "file too large": _("The file is larger than %(most)s kB; a table of days is much smaller."),
    "file is no table of text": _(
        "The file is a spreadsheet’s own; save it as CSV (comma-separated values) and send that."
    ),
    "too many lines": _("The file has more than %(most)s lines."),
    "line cannot be read": _("Line %(line)s cannot be read: a quotation mark is opened and not closed."),
    "column twice": _("The column “%(column)s” stands in the file twice; leave one."),
    "column missing": _("The column “%(column)s” is missing. The first line names the columns: %(columns)s."),
    "no column of days": _("No column of the file can be taken; name at least one of: %(columns)s."),
    "line without a key": _(
        "Line %(line)s, column “%(column)s”: it is empty; copy the key of the package or task from the download."
    ),
    "more cells than columns": _(
        "Line %(line)s has cells after the last of its %(columns)s columns; put a name with a comma in it between "
        "quotation marks."
    ),
    "key twice": _(
        "Line %(line)s, column “%(column)s”: %(typed)s stands in line %(other)s already; leave one of them."
    ),
    "no such key": _(
        "Line %(line)s, column “%(column)s”: %(typed)s is no package or task of this job; is it %(near)s?"
    ),
    "another kind": _(
        "Line %(line)s, column “%(column)s”: %(typed)s; but %(key)s is a %(kind)s. Write %(kind)s, or another key."
    ),
    "no day": _(
        "Line %(line)s, column “%(column)s”: %(typed)s is no day; write it as 2026-04-03 or 3 Apr 2026."
    ),
    "no such day": _(
        "Line %(line)s, column “%(column)s”: there is no such day as %(typed)s; write it as 2026-04-03."
    ),
    "could be two days": _(
        "Line %(line)s, column “%(column)s”: %(typed)s can be read as %(one)s or as %(other)s; write the one you mean "
        "like that."
    ),
    "a spreadsheet's number for a day": _(
        "Line %(line)s, column “%(column)s”: %(typed)s is a spreadsheet’s own number for a day; format the column as a "
        "date (2026-04-03) and save again."
    ),
    "no whole number of days": _(
        "Line %(line)s, column “%(column)s”: %(typed)s is no whole number of working days; write one such as 3."
    ),
    "line duration out of range": _(
        "Line %(line)s, column “%(column)s”: a duration may be 1 to %(high)s working days."
    ),
    "line day out of range": _(
        "Line %(line)s, column “%(column)s”: %(day)s is too far away; choose a day from %(low)s to %(high)s."
    ),
    "line done by before not before": _(
        "Line %(line)s, column “%(column)s”: done by %(done_by)s cannot be before the first day it may begin, "
        "%(not_before)s."
    ),
    "line finished already": _(
        "Line %(line)s, column “%(column)s”: %(key)s is finished, its days are history; leave the cell as it was "
        "downloaded."
    ),
    "a package has a day only": _(
        "Line %(line)s, column “%(column)s”: %(key)s is a package, which has a day in “done by” only; leave it empty."
    ),
    "a gate has no duration": _(
        "Line %(line)s, column “%(column)s”: %(key)s is a gate, which takes no time; leave it empty."
    ),
    "and more": _("And %(number)s more; put these right first."),
    "day out of range": _("%(day)s is too far away; choose a day from %(low)s to %(high)s."),
    "days moved since": _(
        "Somebody has set days since this was shown, so the file would do something else now. Look at it again."
    ),
    # crews over many sites
    "crew without a name": _("Give the crew a name."),
    "crew of that name": _("This company has a crew called %(name)s already."),
    "company unknown": _("Choose a company of the list."),
    "trade unknown": _("%(typed)s is no trade of any site of yours; choose one of the list."),
    "people out of range": _("A crew has 1 to 99 people."),
    "crew works no day": _("Choose at least one weekday on which the crew works."),
    "place out of range": _(
        "A latitude lies between −90 and 90, a longitude between −180 and 180; give both or none."
    ),
    "weight out of range": _("The weight of a day late is 1 to %(most)s."),
    "way to itself": _("Choose two different sites."),
    "way out of range": _("Days on the road are 0 to 30."),
    "no crew entered": _("Enter a crew first: without one there is nothing to level."),
    "no site needs a crew": _("No running site has work to come for a crew that was entered."),
    "seconds out of range": _("Choose 1 to %(most)s seconds."),
    "network cannot be dated": _("The dates cannot be worked out: %(why)s"),
    # causes of delay
    "cause without a task": _("Choose a task of the plan."),
    "cause of no kind": _("Choose one of the causes of the list."),
    "cause without words": _("Say in a few words what happened."),
    "cause days out of range": _("The working days lost are 1 to 250."),
    "cause lies ahead": _("%(day)s has not come yet; a cause is entered once it has happened."),
}
