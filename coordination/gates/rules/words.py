"""Rules 9 and 10: whose word it was, and that silence is nobody's."""

from collections.abc import Iterator

from coordination.evidence.entering import WITHOUT_A_COMPANY
from coordination.evidence.models import Evidence
from coordination.gates.models import FOR_THE_SILENT, Answer
from coordination.gates.rules.case import Breach, Case
from coordination.readiness.working_hours import COVERING_HOURS


def silence_never_accepted(case: Case) -> Iterator[Breach]:
    """Each acceptance is a person's, not their own, and each offer says until when it must be answered."""
    for row in case.evidence:
        if _hides_its_author(case, row):
            yield Breach(9, "an entry for another that does not say so", str(row.requirement), str(row.uid))
    for review in case.reviews:
        requirement = review.evidence.requirement
        critical = requirement.lift_critical or review.lift_critical
        if critical and review.reviewer == review.evidence.sender:
            yield Breach(9, "reviewed their own lift-critical entry", str(requirement), review.reviewer)
        if not _is_a_person(review.reviewer):
            yield Breach(10, "reviewed by nobody", str(requirement), review.reviewer)
    for answer in case.answers:
        if not _is_a_person(answer.answered_by):
            yield Breach(10, "answered by nobody", answer.offer.task.key, answer.link.after.key)
        if answer.way == FOR_THE_SILENT and _spoke_too_soon(case, answer):
            yield Breach(
                10, "accepted for a receiver who was not silent", answer.offer.task.key, answer.instead_of
            )
    for decision in case.told("work offered"):
        told = decision.body
        if not told.get("answer_by"):
            yield Breach(10, "offered without a time to answer", decision.subject, str(told.get("round")))
        elif told.get("about_to_be_covered") and told["hours"] > COVERING_HOURS:
            yield Breach(10, "too long to answer for work about to be covered", decision.subject)


def _hides_its_author(case: Case, row: Evidence) -> bool:
    decision = case.by_seq.get(row.event.seq)
    trade = row.requirement.task.trade
    if decision is None or row.requirement.release or trade in WITHOUT_A_COMPANY or row.entered_for:
        return bool(row.entered_for) and not row.entry_source
    return trade not in decision.actor.get("trades", ())


def _spoke_too_soon(case: Case, answer: Answer) -> bool:
    """Before the answer time had passed, or by somebody who runs no site."""
    due, decision = answer.offer.answer_by, case.by_seq.get(answer.event.seq)
    roles = decision.actor.get("roles", ()) if decision else ()
    return due is None or answer.at <= due or "contractor" not in roles


def _is_a_person(identity: str) -> bool:
    return identity.startswith(("person:", "link:"))
