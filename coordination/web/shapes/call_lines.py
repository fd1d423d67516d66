"""Today's calls over many sites: what blocks a visit of the next weeks, who owes it, who was last called."""

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.formats import date_format
from django.utils.translation import pgettext

from coordination.access.models import Project
from coordination.dates.forecasting import Outlook
from coordination.dates.models import Call, Visit
from coordination.dates.visiting import WORK
from coordination.gates.calendars import local_moment
from coordination.gates.queries import Scene
from coordination.gates.visits import blocking
from coordination.web.addresses import address_of
from coordination.web.missing import MissingLine, missing_lines
from coordination.web.shapes.visit_lines import NAMES

AHEAD = timedelta(weeks=3)
SHOWN = 3
QUESTIONS = ("question open", "fact only assumed")


@dataclass(frozen=True)
class CallLine:
    """One call to make: whom, about what, when they were last called on the site's own clock. A key counts once."""

    key: str
    owner: str
    phone: str
    about: tuple[MissingLine, ...]
    more: int
    last: Call | None
    when: str


@dataclass(frozen=True)
class VisitCalls:
    """The calls about one visit of one site. ``nobody`` is what nobody is named for."""

    project: Project
    visit: str
    name: str
    day: date
    booked: bool
    confirm_by: date | None
    href: str
    calls: tuple[CallLine, ...]
    nobody: tuple[MissingLine, ...]


@dataclass(frozen=True)
class Sites:
    """What is known of some sites: scenes and outlooks by the site's own key, standing bookings, today, calls."""

    projects: tuple[Project, ...]
    scenes: Mapping[int, Scene]
    outlooks: Mapping[int, Outlook]
    visits: Iterable[Visit]
    today: Mapping[int, date]
    last: Mapping[tuple[int, str, str], Call]


def visit_calls(sites: Sites) -> list[VisitCalls]:
    """Each visit that something blocks and that comes, or must be confirmed, in three weeks; the next one first."""
    booked = {(row.project_id, row.key): row for row in sites.visits}
    found = []
    for project in sites.projects:
        for visit in WORK:
            row = booked.get((project.pk, visit))
            day = row.day if row else sites.outlooks[project.pk].ready.get(visit)
            today = sites.today[project.pk]
            if day is None or day < today or min(day, row.confirm_by if row else day) > today + AHEAD:
                continue
            if owed := _owed(sites.scenes[project.pk], visit):
                found.append(_of_visit(Coming(project, visit, day, row), owed, sites.last))
    return sorted(found, key=lambda each: (each.day, each.project.name, each.visit))


Owed = Mapping[tuple[str, str], list[MissingLine]]


@dataclass(frozen=True)
class Coming:
    """A visit of one site with its day, booked or as planned."""

    project: Project
    visit: str
    day: date
    row: Visit | None


def _owed(scene: Scene, visit: str) -> Owed:
    """What blocks a visit, by who owes it and their telephone; an empty name where nobody is named for it."""
    owed: dict[tuple[str, str], list[MissingLine]] = {}
    missing = blocking(scene, visit)
    for item, line in zip(missing, missing_lines(missing, scene.holding), strict=True):
        named = item.owner or item.kind in QUESTIONS
        owed.setdefault((line.owner, line.phone) if named else ("", ""), []).append(line)
    return owed


def _of_visit(coming: Coming, owed: Owed, last: Mapping[tuple[int, str, str], Call]) -> VisitCalls:
    project, visit, row = coming.project, coming.visit, coming.row
    calls = [
        _call((owner, phone), lines, last.get((project.pk, owner, phone)))
        for (owner, phone), lines in owed.items()
        if owner
    ]
    return VisitCalls(
        project=project,
        visit=visit,
        name=str(NAMES[visit]),
        day=coming.day,
        booked=row is not None,
        confirm_by=row.confirm_by if row else None,
        href=address_of("visit", project.uid, visit),
        calls=tuple(sorted(calls, key=lambda call: (-len(call.about) - call.more, call.owner))),
        nobody=tuple(line for (owner, _phone), lines in owed.items() if not owner for line in lines),
    )


def _call(whom: tuple[str, str], lines: list[MissingLine], last: Call | None) -> CallLine:
    return CallLine(
        key=str(uuid.uuid4()),
        owner=whom[0],
        phone=whom[1],
        about=tuple(lines[:SHOWN]),
        more=max(0, len(lines) - SHOWN),
        last=last,
        when=when_called(last) if last else "",
    )


def when_called(call: Call) -> str:
    """The moment of a call on its site's own clock: this page is of many sites, and no one zone is right."""
    local = local_moment(call.project, call.at)
    return date_format(local, pgettext("date format", "D j M Y, H:i"), use_l10n=False)
