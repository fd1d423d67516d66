"""Rule 1: work began only when everything before it stood, as the rows of that moment say."""

from collections.abc import Iterator, Mapping
from typing import Any

from coordination.evidence.models import Evidence
from coordination.evidence.outcomes import is_authority_document
from coordination.gates.models import BY_BEGINNING
from coordination.gates.rules.case import Breach, Case
from coordination.projects.models import Link, Task
from coordination.record.queries import Decision


def work_began_rightly(case: Case) -> Iterator[Breach]:
    """Each begun task has its event, and at that event nothing that holds a start was missing."""
    for task in case.scene.holding.tasks:
        if task.begun_on is None or task.is_gate:
            continue
        begun = case.told("work begun", task=str(task.uid))
        if not begun or begun[-1].body["on"] != task.begun_on.isoformat():
            yield Breach(1, "begun without a decision", task.key, task.begun_on.isoformat())
            continue
        for link in case.scene.holding.links:
            if link.after_id == task.pk and link.origin <= begun[-1].body["plan"]:
                yield from _held(case, link, task, begun[-1])


def _held(case: Case, link: Link, task: Task, begun: Decision) -> Iterator[Breach]:
    before = case.scene.holding.task[link.before_id]
    if before.is_gate:
        if link.kind not in {"FF", "SF"} and not _was_cleared(case, before, begun):
            yield Breach(1, "begun before its gate was cleared", task.key, before.key)
    elif link.kind == "covers":
        for what in _not_accepted(case, before, begun):
            yield Breach(1, "begun over work that was not accepted", task.key, f"{before.key}: {what}")
    elif link.kind == "FS" and not _was_told(case, before, begun, "work done", "work offered"):
        yield Breach(1, "begun before the work it follows was finished", task.key, before.key)
    elif link.kind == "SS" and not _was_told(case, before, begun, "work begun"):
        yield Breach(1, "begun before the work it goes with had begun", task.key, before.key)
    if link.handoff and not (_was_answered(case, link, begun) or _is_taken_over(case, link, begun)):
        yield Breach(1, "begun before its handoff was accepted", task.key, before.key)


def _was_told(case: Case, before: Task, begun: Decision, *verbs: str) -> bool:
    return any(item.seq < begun.seq for item in case.told(*verbs, task=str(before.uid)))


def _was_cleared(case: Case, before: Task, begun: Decision) -> bool:
    return any(
        row.gate.task_id == before.pk
        and row.event.seq < begun.seq
        and (row.reopened_at is None or row.reopened_at >= begun.at)
        for row in case.clearings
    )


def _was_answered(case: Case, link: Link, begun: Decision) -> bool:
    return any(
        row.link_id == link.pk and row.outcome == "accepted" and row.event.seq < begun.seq
        for row in case.answers
    )


def _is_taken_over(case: Case, link: Link, begun: Decision) -> bool:
    """By the very decision to begin, where the link hides nothing."""
    return link.kind != "covers" and any(
        row.link_id == link.pk and row.way == BY_BEGINNING and row.event.seq == begun.seq
        for row in case.answers
    )


def _not_accepted(case: Case, before: Task, begun: Decision) -> Iterator[str]:
    """What was missing of covered work. The event says what stood; the rows must bear it out."""
    stood = begun.body["covers"].get(str(before.uid))
    if stood is None or not stood["satisfied"]:
        yield "nothing"
        return
    if not _was_told(case, before, begun, "work done", "work offered"):
        yield "finish"
    for key, read in stood["requirements"].items():
        if not _stood(case, before, key, read, begun):
            yield key
    for link in case.scene.holding.links_out_of[before.pk]:
        if link.handoff and link.origin <= begun.body["plan"] and not _was_answered(case, link, begun):
            yield case.scene.holding.task[link.after_id].key


def _stood(case: Case, before: Task, key: str, read: Mapping[str, Any], begun: Decision) -> bool:
    if read["how"] == "conceded":
        return _was_conceded(case, read, begun)
    shown = [
        row
        for row in case.evidence
        if row.requirement.task_id == before.pk and row.requirement.key == key and _counted(row, read, begun)
    ]
    wanted = {uid for uid, _value in read.get("evidence", ())}
    if not wanted or wanted != {str(row.uid) for row in shown}:
        return False
    if read["how"] == "released":
        return any(is_authority_document(row) for row in shown)
    return read["how"] == "accepted" and all(_was_accepted(case, row, begun) for row in shown)


def _counted(row: Evidence, read: Mapping[str, Any], begun: Decision) -> bool:
    return (
        [str(row.uid), row.value] in read.get("evidence", ())
        and row.terms_sha == read["terms"]
        and row.event.seq < begun.seq
        and (row.withdrawn_at is None or row.withdrawn_at >= begun.at)
    )


def _was_accepted(case: Case, row: Evidence, begun: Decision) -> bool:
    """The newest word before the begin; none is needed where nobody reviews."""
    said = [
        review.outcome
        for review in case.reviews
        if review.evidence_id == row.pk and review.event.seq < begun.seq
    ]
    return said[-1] == "accepted" if said else not row.requirement.accepts


def _was_conceded(case: Case, read: Mapping[str, Any], begun: Decision) -> bool:
    for row in case.concessions:
        if str(row.uid) == read["concession"] and row.terms_sha == read["terms"]:
            spoken = {
                voice.role
                for voice in case.voices
                if voice.concession_id == row.pk and voice.event.seq < begun.seq
            }
            ended = row.ended_at is not None and row.ended_at < begun.at
            return bool(row.needs) and set(row.needs) <= spoken and not ended
    return False
