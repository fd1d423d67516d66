"""Reading the record for messages, and sending them."""

from datetime import datetime, timedelta

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction

from coordination.access.models import Project
from coordination.gates.awaited import Awaited
from coordination.notices.mails import Addressee, mail_of
from coordination.notices.models import Cursor, Message
from coordination.notices.people import People
from coordination.notices.reminding import STAGES, still_awaited, unmailed
from coordination.notices.telling import tellings, who_is_unheard
from coordination.notices.unheard import language_of
from coordination.record.models import Event
from coordination.record.queries import Decision, read

AT_ONCE = 500
FRESH = timedelta(days=3)
UNHEARD = frozenset({"unheard", "unreminded"})


def read_on(stream: str, now: datetime) -> int:
    """Make the messages of the next decisions of a stream, and remember how far it was read. Gives their number.

    Done again after a kill it makes none twice: messages and the mark are kept together. What is older than FRESH
    is read over: nobody is told today what they have long seen.
    """
    project = Project.objects.get(uid=stream)
    cursor, _new = Cursor.objects.get_or_create(stream=stream)
    events = list(Event.objects.filter(stream=stream, seq__gt=cursor.seq).order_by("seq")[:AT_ONCE])
    if not events:
        return 0
    messages = _messages(events, project, now)
    with transaction.atomic():
        if not Cursor.objects.filter(pk=cursor.pk, seq=cursor.seq).update(seq=events[-1].seq):
            return 0
        Message.objects.bulk_create(messages, ignore_conflicts=True)
    return len(messages)


def send(pk: int, now: datetime) -> bool:
    """Send one message to whoever still stands on the project; false when it went out before, or is not sent at all.

    A kill between the sending and its mark sends it once more: a mail twice is better than none. A reminder of what
    was answered meanwhile is dropped, and word that somebody has not heard where they have an account by now.
    """
    message = Message.objects.select_related("event", "person", "company").filter(pk=pk, sent_at=None).first()
    if message is None:
        return False
    decision = read(message.event)
    project = Project.objects.get(uid=decision.stream)
    people = People(project)
    to, waits = _addressee(message, people), None
    if message.kind in STAGES:
        waits = still_awaited(message.event, project, now)
    missed = _unheard(message.kind, decision, people, waits, now)
    due = (waits or message.kind not in STAGES) and (missed or message.kind not in UNHEARD)
    if to is None or not due:
        Message.objects.filter(pk=pk, sent_at=None).delete()
        return False
    mail = mail_of(decision, message.kind, to, project, waits=waits, unheard=missed)
    EmailMessage(
        mail.subject, mail.body, settings.DEFAULT_FROM_EMAIL, [to.email], headers=mail.headers
    ).send()
    return bool(Message.objects.filter(pk=pk, sent_at=None).update(sent_at=now))


def _messages(events: list[Event], project: Project, now: datetime) -> list[Message]:
    people = People(project)
    return [
        Message(event=event, person_id=telling.person, company_id=telling.company, kind=telling.kind)
        for event in events
        for decision in (read(event),)
        if now - decision.at <= FRESH
        for telling in tellings(decision, people)
    ]


def _addressee(message: Message, people: People) -> Addressee | None:
    """Who gets it; None once they have left, their account was closed, or the company is told by an account."""
    if message.company is not None:
        alone = people.without_account(people.companies)
        if message.company not in alone or not message.company.email:
            return None
        language = language_of(people.project, message.company) or settings.LANGUAGE_CODE
        roles = frozenset({"subcontractor"})
        return Addressee(message.company.name, message.company.email, language, roles, by_link=True)
    standing = [row for row in people.standing if row.person_id == message.person_id]
    if not standing:
        return None
    person = standing[0].person
    return Addressee(person.name, person.email, person.language, frozenset(row.role for row in standing))


def _unheard(
    kind: str, decision: Decision, people: People, waits: Awaited | None, now: datetime
) -> list[str]:
    """Names of those whom no mail reaches, for a mail that says so."""
    if kind == "unheard":
        return [each.name for each in who_is_unheard(decision, people, now)]
    return [company.name for company in unmailed(waits, people)] if kind == "unreminded" and waits else []
