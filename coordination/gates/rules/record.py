"""Rule 2: what was decided stays readable. The chain holds, and every row says what its event says."""

from collections.abc import Iterator
from typing import Any

from coordination.evidence.marking import body_of
from coordination.evidence.models import FAILED, Evidence, Mark, Review
from coordination.gates.actions.marking import answer_mark_body
from coordination.gates.models import (
    BY_BEGINNING,
    Answer,
    AnswerMark,
    AnswerMarkReason,
    AnswerMarkTakenBack,
    Offer,
)
from coordination.gates.rules.case import Breach, Case
from coordination.record.models import Event
from coordination.record.queries import Decision
from coordination.record.verification import Fault, verify_stream


def rows_say_what_was_decided(case: Case) -> Iterator[Breach]:
    """The chain first; then each row against its event, and each end against the event that brought it."""
    verified = verify_stream(case.project.stream)
    if isinstance(verified, Fault):
        yield Breach(2, "the record is broken", str(verified.seq), verified.what)
    for row in case.evidence:
        yield from _of_evidence(case, row)
    for review in case.reviews:
        yield from _of_review(case, review)
    yield from _of_marks(case)
    yield from _of_refusal_marks(case)
    for offer in case.offers:
        yield from _of_offer(case, offer)
    for answer in case.answers:
        yield from _of_answer(case, answer)
    for task in case.scene.holding.tasks:
        if task.finished_on and not task.is_gate:
            days = [d.body["on"] for d in case.told("work done", "work offered", task=str(task.uid))]
            if task.finished_on.isoformat() not in days[-1:]:
                yield Breach(2, "finished without a decision", task.key, task.finished_on.isoformat())


def _of_evidence(case: Case, row: Evidence) -> Iterator[Breach]:
    verb = "evidence handed in"
    if row.result:
        verb = "inspection failed" if row.result == FAILED else "inspection passed"
    decision = _decision(case, row.event, verb) or _decision(case, row.event, "evidence handed in")
    items = _items(decision) if decision else {}
    item = items.get(str(row.uid))
    found = {
        "sha256": row.blob.sha256 if row.blob else None,
        "value": row.value,
        "number": row.number or None,
        "result": row.result or None,
        "dated": row.dated.isoformat() if row.dated else None,
        "in_tolerance": row.in_tolerance,
    }
    if decision is None or item is None or not _same(found, item) or row.sender != _identity(decision):
        yield Breach(2, "evidence other than handed in", str(row.requirement), str(row.uid))
    withdrawn = bool(case.told("evidence withdrawn", evidence=str(row.uid)))
    if withdrawn != (row.withdrawn_at is not None):
        yield Breach(2, "withdrawn other than decided", str(row.requirement), str(row.uid))


def _items(decision: Decision) -> dict[str, Any]:
    """Everything that one decision handed in, also what it counted for besides."""
    parts = [decision.body, *decision.body.get("also", ())]
    return {item["uid"]: item for part in parts for item in part["items"]}


def _of_review(case: Case, row: Review) -> Iterator[Breach]:
    decision = _decision(case, row.event, f"evidence {row.outcome}")
    named = decision.body["evidence"] if decision else ()
    if decision is None or str(row.evidence.uid) not in named or row.reviewer != _identity(decision):
        yield Breach(2, "reviewed other than decided", str(row.evidence.requirement), str(row.evidence.uid))


def _of_marks(case: Case) -> Iterator[Breach]:
    for mark in case.marks:
        yield from _of_mark(case, mark)
    for ended in case.marks_taken_back:
        if not case.told("mark taken back", mark=str(ended.mark.uid)):
            yield _mark_breach(ended.mark)
    for named in case.marks_named:
        refusal = _decision(case, named.event, "handoff refused")
        if refusal is None or str(named.mark.uid) not in refusal.body.get("marks", ()):
            yield _mark_breach(named.mark)


def _of_mark(case: Case, row: Mark) -> Iterator[Breach]:
    decision = _decision(case, row.event, "photo marked")
    if decision is None or decision.body != body_of(row) or row.by != _identity(decision):
        yield _mark_breach(row)


def _mark_breach(row: Mark) -> Breach:
    return Breach(2, "marked other than decided", str(row.evidence.requirement), str(row.uid))


def _of_refusal_marks(case: Case) -> Iterator[Breach]:
    for row in case.refusal_marks:
        decision = _decision(case, row.event, "photo marked")
        if decision is None or decision.body != answer_mark_body(row) or row.by != _identity(decision):
            yield _refusal_mark_breach(row)
    for verb, words in (("mark taken back", AnswerMarkTakenBack), ("mark made a reason", AnswerMarkReason)):
        for word in case.words_on_refusal_marks(words):
            if not case.told(verb, mark=str(word.mark.uid)):
                yield _refusal_mark_breach(word.mark)


def _refusal_mark_breach(row: AnswerMark) -> Breach:
    return Breach(2, "marked other than decided", row.photo.answer.offer.task.key, str(row.uid))


def _of_offer(case: Case, row: Offer) -> Iterator[Breach]:
    decision = _decision(case, row.event, "work offered")
    if decision is None or decision.body.get("offer") != str(row.uid) or row.sender != _identity(decision):
        yield Breach(2, "offered other than decided", row.task.key, str(row.round))


def _of_answer(case: Case, row: Answer) -> Iterator[Breach]:
    begun = row.way == BY_BEGINNING
    decision = _decision(case, row.event, "work begun" if begun else f"handoff {row.outcome}")
    told = decision.body if decision else {}
    named = [item["offer"] for item in told.get("takes_over", ())] if begun else [told.get("offer")]
    if decision is None or str(row.offer.uid) not in named or row.answered_by != _identity(decision):
        yield Breach(2, "answered other than decided", row.offer.task.key, row.link.after.key)


def _decision(case: Case, event: Event, verb: str) -> Decision | None:
    """The decision a row carries, if it is one of this project and of this kind."""
    decision = case.by_seq.get(event.seq) if event.stream == case.project.stream else None
    return decision if decision and decision.verb == verb else None


def _same(found: dict[str, Any], item: dict[str, Any]) -> bool:
    return all(item.get(key) == value for key, value in found.items())


def _identity(decision: Decision) -> str:
    return str(decision.actor["identity"])
