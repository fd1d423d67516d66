"""Baselines: the dates as they stood."""

import json
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Max

from coordination.access.models import Project
from coordination.dates.dating import reckon
from coordination.dates.models import Baseline
from coordination.dates.networks import rows_of
from coordination.record.chaining import canonical
from coordination.record.models import Event
from coordination.scheduling.network import Network
from coordination.scheduling.network_json import read_network
from coordination.scheduling.network_writing import network_as_json


@dataclass(frozen=True)
class Drift:
    """How far a task's last day has moved since a baseline, in calendar days; later is positive."""

    task: str
    was: date
    now: date

    @property
    def days(self) -> int:
        return (self.now - self.was).days


def take_baseline(project: Project, event: Event, *, reason: str, today: date) -> Baseline:
    """Keep the dates of every standing task as they are on ``today``. Called inside a deciding block."""
    dated = reckon(rows_of([project])[project.pk], today)
    number = Baseline.objects.filter(project=project).aggregate(last=Max("number"))["last"] or 0
    return Baseline.objects.create(
        project=project,
        number=number + 1,
        reason=reason,
        taken_on=today,
        dates=canonical({key: _span(dates) for key, dates in dated.tasks.items()}),
        network=canonical(network_as_json(dated.schedule.network)),
        event=event,
    )


def dates_of(baseline: Baseline) -> dict[str, tuple[date, date]]:
    """First and last worked day of each task in ``baseline``."""
    return {
        key: (date.fromisoformat(first), date.fromisoformat(last))
        for key, (first, last) in json.loads(baseline.dates).items()
    }


def network_of_baseline(baseline: Baseline) -> Network:
    """The network as it stood."""
    return read_network(baseline.network).network


def _span(dates: Any) -> list[str]:
    return [dates.early_start.isoformat(), dates.early_last_day.isoformat()]
