"""The part of a snapshot about what was witnessed, inspected, and cleared before."""

from collections.abc import Iterable

from coordination.gates.frozen_work import Values, day_of, moment_of
from coordination.gates.holding import Holding
from coordination.gates.models import Inspection, InspectionItem
from coordination.gates.witnessing import points_of
from coordination.projects.models import Gate, Task
from coordination.readiness import Assessment


def witnessed(holding: Holding, included: Iterable[Task]) -> list[Values]:
    """The witness points of the work that a paper is about."""
    wanted = {task.pk for task in included}
    return [
        {
            "task": point.task.key,
            "key": point.key,
            "own": point.own is not None,
            "text": dict(point.text),
            "party": point.party,
            "party_name": point.notice.party_name if point.notice else "",
            "notice_days": point.notice_days,
            "notice": {
                "given_by": point.notice.given_name,
                "given_at": moment_of(point.notice.at),
                "for_day": day_of(point.notice.for_day),
                "how": point.notice.how,
                "short": point.short,
            }
            if point.notice
            else None,
            "attended": point.attendance.attended if point.attendance else None,
            "who": point.attendance.who if point.attendance else "",
            "recorded_at": moment_of(point.attendance.at) if point.attendance else None,
            "note": point.attendance.note if point.attendance else "",
        }
        for point in points_of(holding)
        if point.task.pk in wanted
    ]


def inspected(holding: Holding, judged: Assessment) -> list[Values]:
    """Every official result, oldest first, with the work that put right what was not passed."""
    project, tasks = holding.project, holding.task
    items: dict[int, list[Values]] = {}
    for item in InspectionItem.objects.filter(task__project=project).order_by("pk"):
        task = tasks[item.task_id]
        ready = judged.tasks.get(task.key)
        items.setdefault(item.inspection_id, []).append(
            {
                "task": task.key,
                "text": task.derived.get("text", {}),
                "place": task.place,
                "trade": task.trade,
                "company": holding.company_of(task.trade)[0],
                "state": ready.state if ready else "done",
            }
        )
    rows = Inspection.objects.filter(
        evidence__requirement__task__project=project, evidence__withdrawn_at=None
    )
    found = rows.select_related("evidence__blob", "evidence__requirement__task").order_by("pk")
    return [_inspection(row, items.get(row.pk, [])) for row in found]


def earlier_rounds(holding: Holding, gate: Gate) -> list[Values]:
    """The rounds of this gate that were reopened, with why, oldest first: what a revision table shows."""
    return [
        {
            "round": row.round,
            "cleared_at": moment_of(row.cleared_at),
            "reopened_at": moment_of(row.reopened_at),
            "because": [{**cause, "text": _text_of(cause, holding)} for cause in row.reopened_because],
        }
        for row in sorted(holding.clearings, key=lambda row: row.round)
        if row.gate_id == gate.pk and row.reopened_at is not None
    ]


def _text_of(cause: Values, holding: Holding) -> Values:
    """The words of what a cause is about: it may be none of the work that the paper shows."""
    subject = str(cause["subject"])
    if "#" in subject:
        need = holding.requirement_by_key.get(subject) or holding.no_longer_asked.get(subject)
        return dict(need.terms.get("text", {})) if need else {}
    row = holding.gate_named(subject) or holding.task_by_key.get(subject)
    return dict(row.derived.get("text", {})) if row else {}


def _inspection(row: Inspection, items: list[Values]) -> Values:
    evidence, requirement = row.evidence, row.evidence.requirement
    return {
        "requirement": f"{requirement.task.key}#{requirement.key}",
        "task": requirement.task.key,
        "text": requirement.terms.get("text", {}),
        "authority": requirement.release,
        "round": row.round,
        "number": evidence.number,
        "dated": day_of(evidence.dated),
        "result": evidence.result,
        "again_on": day_of(row.again_on),
        "evidence": str(evidence.uid),
        "sha256": evidence.blob.sha256 if evidence.blob else None,
        "items": items,
    }
