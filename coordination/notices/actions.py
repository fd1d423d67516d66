"""Reading the record for messages, and sending them."""

from datetime import datetime, timedelta

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction

from coordination.access.models import Membership, Project
from coordination.notices.mails import mail_of
from coordination.notices.models import Cursor, Message
from coordination.notices.reminding import STAGES, still_awaited
from coordination.notices.telling import People, tellings
from coordination.record.models import Event
from coordination.record.queries import read

AT_ONCE = 500
FRESH = timedelta(days=3)


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
    was answered meanwhile is dropped.
    """
    message = Message.objects.select_related("event", "person").filter(pk=pk, sent_at=None).first()
    if message is None:
        return False
    decision = read(message.event)
    project = Project.objects.get(uid=decision.stream)
    roles = _roles(message, project)
    if not roles:
        Message.objects.filter(pk=pk, sent_at=None).delete()
        return False
    waits = still_awaited(message.event, project, now) if message.kind in STAGES else None
    if message.kind in STAGES and waits is None:
        Message.objects.filter(pk=pk, sent_at=None).delete()
        return False
    mail = mail_of(decision, message.kind, message.person, project, roles, waits=waits)
    EmailMessage(
        mail.subject, mail.body, settings.DEFAULT_FROM_EMAIL, [message.person.email], headers=mail.headers
    ).send()
    return bool(Message.objects.filter(pk=pk, sent_at=None).update(sent_at=now))


def _messages(events: list[Event], project: Project, now: datetime) -> list[Message]:
    people = People(project)
    return [
        Message(event=event, person_id=telling.person, kind=telling.kind)
        for event in events
        for decision in (read(event),)
        if now - decision.at <= FRESH
        for telling in tellings(decision, people)
    ]


def _roles(message: Message, project: Project) -> frozenset[str]:
    """The person's roles on the project; none once they have left or their account was closed."""
    rows = Membership.objects.filter(
        project=project, person=message.person, left_at=None, person__is_active=True
    )
    return frozenset(rows.values_list("role", flat=True))
