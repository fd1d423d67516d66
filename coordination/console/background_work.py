"""All background work in one list. Everything is found from state; nothing is enqueued."""

from datetime import datetime

from django.utils import timezone

from coordination.background.work import Work
from coordination.evidence.renditions import make_missing, without_renditions
from coordination.gates.models import Clearing
from coordination.handover.actions import make_gate_report
from coordination.handover.queries import clearings_without_report

PAPERS = {"us": "letter", "en": "a4"}


def reports_to_make(now: datetime) -> list[str]:
    return list(clearings_without_report())


def make_report(key: str) -> None:
    """The report of one clearing, in English, on the paper that its code set is used to."""
    clearing = Clearing.objects.select_related("gate__task__project__supplier", "event").get(uid=key)
    paper = PAPERS.get(clearing.gate.task.project.code_set, "letter")
    make_gate_report(clearing, timezone.now(), language="en-us", paper=paper)


WORKS = (
    Work("renditions", find=without_renditions, do=make_missing, limit=120),
    Work("reports", find=reports_to_make, do=make_report, child=True, limit=300),
)
