"""What was let go on a site as plain values: concessions, deviation permits, variances, with what does not conform."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from coordination.access.models import Project
from coordination.evidence.models import Review
from coordination.gates.frozen_work import Values, day_of, moment_of
from coordination.gates.holding import Holding
from coordination.gates.loading import load
from coordination.gates.models import Concession, Voice
from coordination.gates.variances import document_of, variance_of
from coordination.projects.models import Requirement, Task


@dataclass(frozen=True)
class Permission:
    """One of them, given or asked for, with what it is about and whoever spoke for it."""

    row: Concession
    need: Requirement
    task: Task
    voices: Sequence[Voice]

    @property
    def was_granted(self) -> bool:
        return set(self.row.needs) <= {voice.role for voice in self.voices}


def let_go_on(project: Project, today: date) -> Values:
    """Everything that was ever let go on ``project``, as it stands on ``today``; one query where that is nothing."""
    if not Concession.objects.filter(requirement__task__project=project).exists():
        return {"concessions": [], "concessions_ended": []}
    return let_go_in(load([project], today)[project.pk])


def let_go_in(holding: Holding) -> Values:
    """``concessions``: those that stand. ``concessions_ended``: those that no longer count. Each oldest first."""
    standing = {row.pk for row in holding.standing_concession.values()}
    here = [each for each in of_the_plan(holding) if each.was_granted]
    left = [each for each in of_what_left_the_plan(holding) if each.was_granted]
    return {
        "concessions": [_frozen(each) for each in here if each.row.pk in standing],
        "concessions_ended": [
            *(_ended(each) for each in here if each.row.pk not in standing),
            *({**_ended(each), "left_the_plan": True} for each in left),
        ],
    }


def of_the_plan(holding: Holding) -> list[Permission]:
    """Those on what the plan asks for, oldest first."""
    needs = {row.pk: row for row in holding.requirements}
    return [
        Permission(row, need, holding.task[need.task_id], holding.voices_of[row.pk])
        for row in _oldest_first(holding.concessions)
        if (need := needs.get(row.requirement_id)) is not None
    ]


def of_what_left_the_plan(holding: Holding) -> list[Permission]:
    """Those on what a later plan no longer asks for: a holding has none of them."""
    rows = Concession.objects.filter(requirement__task__project=holding.project)
    dropped = rows.filter(requirement__retired_in__isnull=False)
    found = _oldest_first(dropped.select_related("requirement__task", "nonconformity", "variance__blob"))
    voices = list(Voice.objects.filter(concession__in=found).order_by("pk")) if found else []
    return [
        Permission(
            row,
            row.requirement,
            row.requirement.task,
            [voice for voice in voices if voice.concession_id == row.pk],
        )
        for row in found
    ]


def _oldest_first(rows: Iterable[Concession]) -> list[Concession]:
    return sorted(rows, key=lambda row: (row.event_id, str(row.uid)))


def _ended(each: Permission) -> Values:
    return {**_frozen(each), "ended_at": moment_of(each.row.ended_at)}


def _frozen(each: Permission) -> Values:
    row = each.row
    return {
        "uid": str(row.uid),
        "requirement": f"{each.task.key}#{each.need.key}",
        "text": each.need.terms.get("text", {}),
        "work": each.task.derived.get("text", {}),
        "kind": row.kind,
        "reason": row.reason,
        "scope": row.scope,
        "expires_on": day_of(row.expires_on),
        "quantity": row.quantity,
        "nonconformity": _nonconformity(each),
        "variance": _variance(each),
        "voices": [
            {"role": voice.role, "name": voice.spoken_name, "at": moment_of(voice.at)}
            for voice in each.voices
        ],
    }


def _nonconformity(each: Permission) -> Values | None:
    """What was shown and does not conform; it stays on record, whatever becomes of the concession."""
    evidence = each.row.nonconformity
    if evidence is None:
        return None
    review = Review.objects.filter(evidence=evidence).order_by("-pk").first()
    refused = review is not None and review.outcome == "refused"
    outside = "out of tolerance" if evidence.in_tolerance is False else "not reviewed"
    return {
        "evidence": str(evidence.uid),
        "outcome": evidence.result or ("refused" if refused else outside),
        "typed": evidence.typed,
        "value": evidence.value,
        "unit": each.need.terms.get("unit", ""),
        "in_tolerance": evidence.in_tolerance,
        "reasons": list(review.reasons) if review and refused else [],
        "by": evidence.sender_name,
        "at": moment_of(evidence.received_at),
    }


def _variance(each: Permission) -> Values | None:
    """The authority's document, its scan as a file like others; None where the site's own people let it go."""
    paper = variance_of(each.row)
    if paper is None:
        return None
    return {
        **document_of(paper),
        "media_type": paper.blob.media_type,
        "received_at": moment_of(each.voices[0].at) if each.voices else None,
    }
