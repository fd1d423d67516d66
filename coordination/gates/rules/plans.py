"""Rules 5 and 7: unknown facts stay questions, and every number names its unit and its source."""

from collections.abc import Iterator
from typing import Any

from coordination.gates.rules.case import Breach, Case
from coordination.projects.queries import standing_plan
from coordination.siteprep.sources import STATUSES


def questions_stay_open(case: Case) -> Iterator[Breach]:
    """Provisional work names the facts that make it so, and each of these is an open question."""
    holding = case.scene.holding
    asked = {question.fact for question in holding.questions}
    for task in holding.tasks:
        if task.retired_in is not None or not task.provisional:
            continue
        because = task.derived.get("because", ())
        if not because:
            yield Breach(5, "provisional for no reason", task.key)
        for fact in because:
            if fact not in asked:
                yield Breach(5, "provisional without a question", task.key, fact)
    if holding.plan_settled:
        for fact in sorted(asked):
            entry = holding.newest_entry.get(fact)
            if entry is not None and entry.state == "known" and fact in _still_asked(case):
                yield Breach(5, "asked although it is known", fact, entry.typed)


def _still_asked(case: Case) -> set[str]:
    """Facts on which provisional work still rests; a question may outlive its answer only without any."""
    return {
        fact
        for task in case.scene.holding.tasks
        if task.retired_in is None and task.provisional
        for fact in task.derived.get("because", ())
    }


def figures_name_their_source(case: Case) -> Iterator[Breach]:
    """Every reading that is asked for, and every quantity of the plan, has a unit and a source with its status."""
    holding = case.scene.holding
    for row in holding.requirements:
        subject = holding.key_of(row)
        if row.kind == "reading" and not row.terms.get("unit"):
            yield Breach(7, "a reading without a unit", subject)
        if not _is_source(row.terms.get("source")):
            yield Breach(7, "asked for without a source", subject)
    for item in standing_plan(case.project).quantities:
        if not item.unit or not _is_source(vars(item.source)):
            yield Breach(7, "a quantity without unit or source", item.key)


def _is_source(source: Any) -> bool:
    return bool(source) and bool(source.get("document")) and source.get("status") in STATUSES
