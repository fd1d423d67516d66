"""The verbs of work and gates."""

from coordination.gates.actions.adding import add_gate, take_back_gate
from coordination.gates.actions.answering import answer_handoff
from coordination.gates.actions.clearing import clear_gate
from coordination.gates.actions.conceding import end_concession, grant_concession
from coordination.gates.actions.inspecting import enter_result
from coordination.gates.actions.marking import make_reason, put_answer_mark, take_answer_mark_back
from coordination.gates.actions.offering import offer_task
from coordination.gates.actions.own_tasks import add_work, take_back_work
from coordination.gates.actions.reviewing import review_requirement, take_back_acceptance
from coordination.gates.actions.settling import accept_change, lapse_concessions, reopen_moved_gates
from coordination.gates.actions.signing import sign_gate
from coordination.gates.actions.standing_in import accept_for_the_silent
from coordination.gates.actions.starting import start_task
from coordination.gates.actions.superseding import supersede_document
from coordination.gates.actions.varying import attach_variance
from coordination.gates.actions.visiting import confirm_visit, sign_site_ready
from coordination.gates.actions.withdrawing import withdraw_evidence
from coordination.gates.actions.witnessing import (
    add_witness_point,
    say_attended,
    take_back_witness_point,
    tell_witness,
)

__all__ = [
    "accept_change",
    "accept_for_the_silent",
    "add_gate",
    "add_witness_point",
    "add_work",
    "answer_handoff",
    "attach_variance",
    "clear_gate",
    "confirm_visit",
    "end_concession",
    "enter_result",
    "grant_concession",
    "lapse_concessions",
    "make_reason",
    "offer_task",
    "put_answer_mark",
    "reopen_moved_gates",
    "review_requirement",
    "say_attended",
    "sign_gate",
    "sign_site_ready",
    "start_task",
    "supersede_document",
    "take_answer_mark_back",
    "take_back_acceptance",
    "take_back_gate",
    "take_back_witness_point",
    "take_back_work",
    "tell_witness",
    "withdraw_evidence",
]
