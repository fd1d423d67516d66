"""The part of a snapshot about what was let go, witnessed, inspected, and cleared before."""

from collections.abc import Iterable
from typing import Any

from coordination.evidence.models import Review
from coordination.gates.frozen_work import Values, day_of, moment_of
from coordination.gates.holding import Holding
from coordination.gates.models import Concession, Inspection, InspectionItem
from coordination.gates.variances import document_of, variance_of
from coordination.gates.witnessing import points_of
from coordination.projects.models import Gate, Requirement, Task
from coordination.readiness import Assessment


def nonconformity(row: Concession, holding: Holding) -> Values | None:
    """What was shown and does not conform; it stays on record, whatever becomes of the concession."""
    evidence = row.nonconformity
    if evidence is None:
        return None
    review = Review.objects.filter(evidence=evidence).order_by("-pk").first()
    refused = review is not None and review.outcome == "refused"
    outside = "out of tolerance" if evidence.in_tolerance is False else "not reviewed"
    need = next((item for item in holding.requirements if item.pk == evidence.requirement_id), None)
    return {
        "evidence": str(evidence.uid),
        "outcome": evidence.result or ("refused" if refused else outside),
        "typed": evidence.typed,
        "value": evidence.value,
        "unit": need.terms.get("unit", "") if need else "",
        "in_tolerance": evidence.in_tolerance,
        "reasons": list(review.reasons) if review and refused else [],
        "by": evidence.sender_name,
        "at": moment_of(evidence.received_at),
    }


def varied(row: Concession) -> Values | None:
    """The authority's document that lets it go; None where the site's own people did."""
    paper = variance_of(row)
    return document_of(paper) if paper else None


def concessions_ended(holding: Holding) -> list[Values]:
    """Those that no longer count, with what did not conform, oldest first."""
    standing = {row.pk for row in holding.standing_concession.values()}
    needs = {row.pk: row for row in holding.requirements}
    return [
        _ended(row, needs[row.requirement_id], holding)
        for row in sorted(holding.concessions, key=lambda row: row.event_id)
        if row.pk not in standing and row.requirement_id in needs and _all_spoke(row, holding)
    ]


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
    if subject in holding.requirement_by_key:
        return dict(holding.requirement_by_key[subject].terms.get("text", {}))
    row = holding.gate_by_key.get(subject) or holding.task_by_key.get(subject)
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


def _ended(row: Concession, need: Requirement, holding: Holding) -> Values:
    told: dict[str, Any] = {
        "uid": str(row.uid),
        "requirement": holding.key_of(need),
        "text": need.terms.get("text", {}),
        "kind": row.kind,
        "reason": row.reason,
        "scope": row.scope,
        "quantity": row.quantity,
        "expires_on": day_of(row.expires_on),
        "ended_at": moment_of(row.ended_at),
        "nonconformity": nonconformity(row, holding),
        "variance": varied(row),
        "voices": [
            {"role": voice.role, "name": voice.spoken_name, "at": moment_of(voice.at)}
            for voice in holding.voices_of[row.pk]
        ],
    }
    return told


def _all_spoke(row: Concession, holding: Holding) -> bool:
    return set(row.needs) <= {voice.role for voice in holding.voices_of[row.pk]}
