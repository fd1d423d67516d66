"""Reminders and escalation, found from state: the clock, the standing offers and what nobody has reviewed.

  reminded   when half of the answer time has passed: those whose word is awaited
  unreminded at the same moment contractor and coordinator, where a receiver has neither account nor e-mail
  late       when it has passed: their deputies, and the contractor, who runs the site

Once per offer and stage for each person, because a message is one per event, person and kind. Before an offer it is the
oldest evidence that waits on a task which stands for it. It accepts nothing.
"""

from collections.abc import Iterable, Iterator
from datetime import datetime
from uuid import UUID

from coordination.access.models import Company, Person, Project
from coordination.gates.awaited import (
    Awaited,
    Stage,
    awaited,
    before_an_offer,
    stages,
    unanswered,
    unreviewed,
)
from coordination.gates.queries import Scene, look_at, scenes
from coordination.gates.sentences import party_words, trade_words
from coordination.notices.models import Message
from coordination.notices.people import People
from coordination.notices.telling import WHO_CALLS
from coordination.projects.models import Requirement
from coordination.record.models import Event

STAGES = ("reminded", "late", "unreminded")
AT_ONCE = 50
Key = tuple[int, str, int, int]
NOBODY = 0


def unreminded(now: datetime) -> list[str]:
    """Uids of projects on which somebody is still to be reminded or told that an answer is late."""
    offers = unanswered().filter(offered_at__lte=now)
    handed = unreviewed().filter(received_at__lte=now).values_list("requirement__task__project", flat=True)
    keys = sorted({*offers.values_list("task__project", flat=True), *handed})
    found: list[str] = []
    for start in range(0, len(keys), AT_ONCE):
        rows = list(Project.objects.filter(pk__in=keys[start : start + AT_ONCE]).order_by("pk"))
        wanted = {pk: _wanted(scene, now) for pk, scene in scenes(rows, now).items()}
        told = _told(each for some in wanted.values() for each in some)
        found += [str(row.uid) for row in rows if wanted[row.pk] - told]
    return found


def remind(uid: str, now: datetime) -> int:
    """Make the messages that ``unreminded`` found on one project; gives their number. Twice makes none twice."""
    project = Project.objects.select_related("supplier").get(uid=UUID(uid))
    wanted = _wanted(look_at(project, now), now)
    fresh = sorted(wanted - _told(wanted))
    messages = [
        Message(event_id=event, person_id=person or None, company_id=company or None, kind=kind)
        for event, kind, person, company in fresh
    ]
    Message.objects.bulk_create(messages, ignore_conflicts=True)
    return len(messages)


def still_awaited(event: Event, project: Project, at: datetime) -> Awaited | None:
    """What ``event`` waits for, an offer or evidence; None where nothing is open on it any more."""
    scene = look_at(project, at)
    offer = next((row for row in scene.holding.offers if row.event_id == event.pk), None)
    handed = (each for each in before_an_offer(scene) if each.event == event.pk)
    waits = awaited(scene, offer) if offer else next(handed, None)
    return waits if waits and waits.anything else None


def who_is_awaited(waits: Awaited) -> list[str]:
    """Trades and roles whose word is open, in words."""
    receivers = [trade_words(task.trade) for task in waits.receivers]
    return list(dict.fromkeys([*receivers, *(party_words(row.accepts) for row in waits.reviews)]))


def _wanted(scene: Scene, now: datetime) -> set[Key]:
    """Event, kind, person, company of every message that ``now`` asks for, whether or not it was made already."""
    people = People.of(scene.holding)
    wanted: set[Key] = set()
    for waits, stage in stages(scene, now):
        wanted |= {_key(waits, stage, whom) for whom in _concerned(waits, stage, people)}
        if stage == "reminded" and unmailed(waits, people):
            wanted |= {_key(waits, "unreminded", person) for person in people.in_roles(WHO_CALLS)}
    return wanted


def unmailed(waits: Awaited, people: People) -> list[Company]:
    """Receivers whom no reminder reaches."""
    receiving = people.without_account({task.trade for task in waits.receivers})
    return [company for company in receiving if not company.email]


def _key(waits: Awaited, kind: str, whom: Person | Company) -> Key:
    ours = (NOBODY, whom.pk) if isinstance(whom, Company) else (whom.pk, NOBODY)
    return (waits.event, kind, *ours)


def _told(keys: Iterable[Key]) -> set[Key]:
    events = {key[0] for key in keys}
    rows = Message.objects.filter(event__in=events, kind__in=STAGES) if events else Message.objects.none()
    found = rows.values_list("event", "kind", "person", "company")
    return {(event, kind, person or NOBODY, company or NOBODY) for event, kind, person, company in found}


def _concerned(waits: Awaited, stage: Stage, people: People) -> Iterator[Person | Company]:
    trades = {task.trade for task in waits.receivers}
    if stage == "reminded":
        for row in waits.reviews:
            yield from people.in_roles({row.accepts}) or people.in_roles({row.deputy})
        yield from people.to_be_mailed(trades)
        return
    yield from people.in_roles({row.deputy for row in waits.reviews})
    yield from _deputies(people, waits.reviews, trades)
    yield from people.in_roles({"contractor"})


def _deputies(people: People, reviews: Iterable[Requirement], trades: set[str]) -> Iterator[Person]:
    """Those who stand in for a member: of a reviewing role, or of a receiving trade."""
    roles = {row.accepts for row in reviews}
    receiving = {person.pk for person in people.of_trades(trades)}
    for row in people.standing:
        if row.deputy and (row.role in roles or row.person_id in receiving):
            yield row.person
