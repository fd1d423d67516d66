"""How much float held-up work has lost: what it had in the plan that was kept last before, less what it has now.

A baseline is kept when a gate clears or when somebody asks. Nothing is kept of the days between, so the float of an
earlier day is that of the newest baseline on or before it, else of the first one. Own definition.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from coordination.access.models import Project
from coordination.dates.baselines import network_of_baseline
from coordination.dates.dating import DatedPlan
from coordination.dates.models import Baseline
from coordination.scheduling.calendars import OutOfHorizon
from coordination.scheduling.critical_path import schedule


@dataclass(frozen=True)
class Float:
    """Working days: ``left`` now; ``eaten`` while it was owed, None where no plan was kept; ``waited`` since then."""

    left: int | None
    eaten: int | None
    waited: int | None


class Floats:
    """The floats of one project, now and as they were; one query for all baselines, each reckoned when it is asked."""

    def __init__(self, project: Project, dated: DatedPlan | None, today: date) -> None:
        self.dated, self.today = dated, today
        self._baselines = list(Baseline.objects.filter(project=project).order_by("number"))
        self._reckoned: dict[int, Mapping[str, int | None]] = {}

    def of(self, task: str, since: date | None) -> Float:
        """What ``task`` has left, and what it has lost at most by having been held up since ``since``.

        Never more than the working days that have passed since: what was lost before is somebody else's.
        """
        dates = self.dated.tasks.get(task) if self.dated else None
        left = dates.total_float if dates else None
        waited = self._waited(since)
        then = self._then(task, since)
        if left is None or then is None or waited is None:
            return Float(left, None, waited)
        return Float(left, max(0, min(then - left, waited)), waited)

    def _waited(self, since: date | None) -> int | None:
        """Working days of the site from ``since`` until today, today left out."""
        if since is None or self.dated is None:
            return None
        site = self.dated.schedule.network.calendars["site"]
        try:
            return site.count(since, self.today) if since < self.today else 0
        except OutOfHorizon:
            return None

    def _then(self, task: str, since: date | None) -> int | None:
        if since is None or not self._baselines:
            return None
        before = [row for row in self._baselines if row.taken_on <= since]
        row = before[-1] if before else self._baselines[0]
        if row.pk not in self._reckoned:
            dated = schedule(network_of_baseline(row))
            self._reckoned[row.pk] = {key: each.total_float for key, each in dated.tasks.items()}
        return self._reckoned[row.pk].get(task)
