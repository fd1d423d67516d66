"""Every kind of condition, met and unmet; signatures; and what is never silently true."""

from dataclasses import replace

import pytest

from coordination.readiness import ConditionStanding, GateStanding, Missing, assess, signers_of
from tests.readiness.standings import done, need, standing, task

GATE = GateStanding("ready", "gate@site", clears="contractor")
POINT = task("gate@site", is_gate=True)
GOOD = done("a@pit")
PHOTO = need("b@pit", accepts="contractor", outcome="handed in")
TRADE_DOES = task("b@pit", PHOTO, begun=True, finished=True)
ACCEPTED = replace(TRADE_DOES, requirements=(replace(PHOTO, outcome="accepted"),))
OTHER = GateStanding("other", "other@site", cleared=True)
OTHER_POINT = task("other@site", is_gate=True)


def missing(*tasks, gate, others=()):
    return assess(standing(POINT, *tasks, gates=[gate, *others])).gates["ready"].missing


@pytest.mark.parametrize(
    ("condition", "tasks", "others", "kinds"),
    [
        (("task accepted", "a@pit"), [GOOD], [], []),
        (("task accepted", "a@pit"), [task("a@pit")], [], ["not begun"]),
        (("task accepted", "b@pit"), [TRADE_DOES], [], ["not reviewed"]),
        (("task accepted", "b@pit"), [ACCEPTED], [], []),
        (("task accepted", "x@pit"), [], [], ["not in the plan"]),
        (("task accepted", "a@pit"), [replace(GOOD, retired=True)], [], ["not in the plan"]),
        (("requirement satisfied", "b@pit#photo"), [ACCEPTED], [], []),
        (("requirement satisfied", "b@pit#photo"), [TRADE_DOES], [], ["not reviewed"]),
        (("requirement satisfied", "b@pit#gone"), [ACCEPTED], [], ["not in the plan"]),
        (("document present", "b@pit#photo"), [TRADE_DOES], [], []),
        (("document present", "b@pit#photo"), [task("b@pit", need("b@pit"))], [], ["not handed in"]),
        (("document present", "permit"), [], [], ["document missing"]),
        (("document present", "permit", True), [], [], []),
        (("question answered", "pit.sump", True), [], [], []),
        (("question answered", "pit.sump", False), [], [], ["question open"]),
        (("question answered", "pit.sump", None), [], [], ["fact only assumed"]),
        (("gate cleared", "other"), [OTHER_POINT], [OTHER], []),
        (("gate cleared", "other"), [OTHER_POINT], [replace(OTHER, cleared=False)], ["gate not cleared"]),
        (("gate cleared", "gone"), [], [], ["not in the plan"]),
        (("signature", "lift crew"), [], [], ["signature missing"]),
    ],
)
def test_a_condition_is_met_or_says_what_is_missing(condition, tasks, others, kinds):
    gate = replace(GATE, conditions=(ConditionStanding(*condition),))
    assert [item.kind for item in missing(*tasks, gate=gate, others=others)] == kinds


def test_facts_that_changed_hold_the_gate_until_the_plan_is_settled():
    assert missing(gate=replace(GATE, plan_settled=False)) == (
        Missing(
            "plan not settled",
            "ready",
            "Northfork Lifts",
            "555-0100",
            "condition",
            "gate@site",
            "coordinator",
        ),
    )


def test_a_signature_for_another_standing_does_not_count_and_is_named():
    gate = replace(GATE, signers=("contractor",), signed_otherwise=frozenset({"contractor"}))
    assert [(m.kind, m.subject, m.owner) for m in missing(gate=gate)] == [
        ("signature for another standing", "contractor", "Copper Creek Builders")
    ]


def test_signatures_come_last_so_that_it_is_clear_when_one_may_sign():
    gate = replace(GATE, signers=("contractor",), conditions=(ConditionStanding("task accepted", "b@pit"),))
    found = assess(standing(POINT, TRADE_DOES, gates=[gate])).gates["ready"]
    assert [m.kind for m in found.missing] == ["not reviewed", "signature missing"]
    assert [m.kind for m in found.unsigned] == ["not reviewed"]


def test_each_signer_is_asked_once():
    gate = replace(
        GATE, signers=("contractor", "lift crew"), conditions=(ConditionStanding("signature", "contractor"),)
    )
    assert signers_of(gate) == ("contractor", "lift crew")


def test_a_gate_is_ready_when_nothing_is_missing_and_stays_cleared():
    ready = assess(standing(POINT, gates=[GATE]))
    assert (ready.gates["ready"].state, ready.tasks["gate@site"].may_start) == ("ready to clear", True)
    cleared = assess(standing(POINT, gates=[replace(GATE, cleared=True, plan_settled=False)]))
    assert (cleared.gates["ready"].state, cleared.gates["ready"].missing) == ("cleared", ())
    assert cleared.tasks["gate@site"].satisfied
