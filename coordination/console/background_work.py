"""All background work in one list. Everything is found from state; nothing is enqueued."""

from datetime import datetime

from django.utils import timezone

from coordination.background.work import Work
from coordination.evidence.renditions import make_missing, without_renditions
from coordination.gates.models import Clearing
from coordination.handover.actions import make_gate_report
from coordination.handover.queries import clearings_without_report
from coordination.notices.actions import read_on, send
from coordination.notices.queries import unread, unsent

PAPERS = {"us": "letter", "en": "a4"}


def reports_to_make(now: datetime) -> list[str]:
    return list(clearings_without_report())


def make_report(key: str) -> None:
    """The report of one clearing, in English, on the paper that its code set is used to."""
    clearing = Clearing.objects.select_related("gate__task__project__supplier", "event").get(uid=key)
    paper = PAPERS.get(clearing.gate.task.project.code_set, "letter")
    make_gate_report(clearing, timezone.now(), language="en-us", paper=paper)


def make_messages(stream: str) -> None:
    """Read on in one project's record for whoever must be told."""
    read_on(stream, timezone.now())


def send_message(key: str) -> None:
    send(int(key), timezone.now())


WORKS = (
    Work("renditions", find=without_renditions, do=make_missing, limit=120),
    Work("reports", find=reports_to_make, do=make_report, child=True, limit=300),
    Work("messages", find=unread, do=make_messages, limit=60),
    Work("mails", find=unsent, do=send_message, limit=60, attempts=20),
)
