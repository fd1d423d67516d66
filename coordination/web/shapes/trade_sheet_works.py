"""The work of a trade sheet as it is planned: what each task must show, when, and which hold points stand around it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from coordination.dates.queries import DatedPlan
from coordination.siteprep.lengths import UnitSystem
from coordination.siteprep.plan import Requirement, Task
from coordination.web.shapes.needs import KINDS, ORDER, tolerance_words
from coordination.web.shapes.sheet_sources import number_of, shown_source
from coordination.web.shapes.trade_sheet_parts import Asked, Work
from coordination.web.texts import on_day, said
from coordination.web.words import AUTHORITIES, ROLES


@dataclass(frozen=True)
class PlannedWorks:
    """The dates of a plan, and by task the names of the project's own gates before it and of those that wait for it."""

    dated: DatedPlan
    holds: Mapping[str, tuple[list[str], list[str]]]
    system: UnitSystem

    def of(self, task: Task, sources: dict[str, int]) -> Work:
        """One task as it stands on the sheet; its sources get their numbers in ``sources``."""
        needs = sorted(task.requirements, key=lambda need: ORDER.index(need.kind))
        asked = tuple(self._asked(need, sources) for need in needs)
        own = [f"[{number_of(source, sources)}]" for source in task.sources if shown_source(source)]
        return Work(
            name=capfirst(said(task.text)),
            first_line=said(task.first_line),
            days=self._days(task),
            provisional=task.provisional,
            asked=asked,
            source=" ".join(dict.fromkeys(own)),
            holds=tuple(self._holds(task)),
        )

    def _holds(self, task: Task) -> Iterable[str]:
        before, waiting = self.holds.get(task.key, ([], []))
        yield from (_("Hold point before it: %(gate)s") % {"gate": name} for name in before)
        yield from (_("Hold point that waits for it: %(gate)s") % {"gate": name} for name in waiting)

    def _days(self, task: Task) -> str:
        dates = self.dated.tasks.get(task.key)
        if dates is None:
            return ""
        told = {"start": on_day(dates.early_start), "end": on_day(dates.early_last_day)}
        return _("planned %(start)s to %(end)s") % told

    def _asked(self, need: Requirement, sources: dict[str, int]) -> Asked:
        by = need.release or need.accepts or ""
        return Asked(
            kind=str(KINDS[need.kind]),
            text=said(need.text),
            tolerance=tolerance_words(vars(need), self.system),
            stand=said(need.stand),
            authorised=need.authorised,
            lift_critical=need.lift_critical,
            looked_at=str(AUTHORITIES[by] if need.release in AUTHORITIES else ROLES.get(by, by)),
            source=number_of(need.source, sources),
        )
