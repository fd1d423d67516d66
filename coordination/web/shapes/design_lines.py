"""Calculations kept beside a task, as lines of its page."""

from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse

from coordination.evidence.designs import designs_of
from coordination.projects.models import Task
from coordination.web.shapes.calculation_fields import title_of


@dataclass(frozen=True)
class DesignLine:
    """One paper: which calculation, by whom, when, and where its inputs came from."""

    title: str
    href: str
    by: str
    at: datetime
    source: str
    note: str


def design_lines(task: Task, code_set: str) -> list[DesignLine]:
    """The papers beside ``task``, newest first."""
    return [
        DesignLine(
            title_of(row.calculation, code_set)[0],
            reverse("design", args=[row.uid]),
            row.sender_name,
            row.at,
            row.source,
            row.note,
        )
        for row in designs_of(task)
    ]
