"""What if these were accepted: the same judgement over a standing in which they are."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coordination.readiness import (
    ConditionStanding,
    GateStanding,
    LinkStanding,
    RequirementStanding,
    Standing,
    TaskStanding,
    assess,
)
from coordination.readiness.supposing import open_conditions, suppose, with_met

PHOTO = RequirementStanding("backing@w#left", "backing@w", "photo", accepts="contractor", outcome="refused")
SPREAD = RequirementStanding(
    "backing@w#spread", "backing@w", "reading", accepts="contractor", outcome="handed in", in_tolerance=False
)
CARD = RequirementStanding("rough@p#card", "rough@p", "document", release="electrical")
CONDITIONS = (
    ConditionStanding("task accepted", "backing@w"),
    ConditionStanding("requirement satisfied", "backing@w#spread"),
    ConditionStanding("document present", "rough@p#card"),
    ConditionStanding("question answered", "pit.sump", False),
    ConditionStanding("gate cleared", "first"),
    ConditionStanding("signature", "owner"),
)
JOB = Standing(
    tasks=(
        TaskStanding("backing@w", "framing", "w", begun=True, requirements=(PHOTO, SPREAD)),
        TaskStanding("rough@p", "electrical", "p", begun=True, requirements=(CARD,)),
        TaskStanding("board@w", "drywall", "w"),
        TaskStanding("rails@h", "lift", "h"),
        TaskStanding("first@s", "general contractor", "s", is_gate=True),
        TaskStanding("gate@s", "general contractor", "s", is_gate=True),
        TaskStanding("next@s", "general contractor", "s", is_gate=True),
    ),
    links=(
        LinkStanding("backing@w", "rails@h", "FS", handoff=True),
        LinkStanding("gate@s", "board@w", "FS"),
    ),
    gates=(
        GateStanding("first", "first@s"),
        GateStanding("gate", "gate@s", CONDITIONS, signers=("owner",)),
        GateStanding("next", "next@s", (ConditionStanding("task accepted", "backing@w"),)),
    ),
)
EVERY = tuple((row.kind, row.subject) for row in CONDITIONS)


def test_every_kind_of_condition_is_open_and_can_be_supposed():
    assert open_conditions(JOB, "gate") == CONDITIONS
    assert {kind for kind, _subject in EVERY} == set(ConditionStanding.__annotations__["kind"].__args__)


def test_two_of_them_accepted_leave_the_others_and_open_what_hangs_on_them():
    found = suppose(JOB, "gate", [("task accepted", "backing@w"), ("signature", "owner")])
    assert [(item.kind, item.subject) for item in found.still] == [
        ("question open", "pit.sump"),
        ("authority document missing", "rough@p#card"),
        ("gate not cleared", "first"),
    ]
    assert (found.gates, found.tasks, found.behind) == (("next",), ("rails@h",), ())


def test_all_of_them_clear_the_way_for_what_stands_behind_the_gate():
    found = suppose(JOB, "gate", EVERY)
    assert (found.still, found.behind) == ((), ("board@w",))
    assert found.then.gates["gate"].state == "cleared"


def test_nothing_supposed_changes_nothing():
    assert with_met(JOB, "gate", []) == JOB
    assert suppose(JOB, "gate", []).still == assess(JOB).gates["gate"].missing


def test_a_signature_counts_for_the_gate_alone():
    other = replace(JOB.gates[2], signers=("owner",))
    job = replace(JOB, gates=(*JOB.gates[:2], other))
    then = assess(with_met(job, "gate", [("signature", "owner")]))
    assert [item.subject for item in then.gates["next"].missing][-1] == "owner"


@settings(max_examples=60)
@given(st.sets(st.sampled_from(EVERY)))
def test_what_is_supposed_is_never_still_missing_and_what_is_not_stays(met):
    still = suppose(JOB, "gate", met).still
    open_then = {(row.kind, row.subject) for row in open_conditions(with_met(JOB, "gate", met), "gate")}
    implied = {EVERY[1]} if EVERY[0] in met else set()
    assert open_then == set(EVERY) - met - implied
    assert bool(still) == bool(open_then)


@pytest.mark.parametrize("kind", ["task accepted", "gate cleared"])
def test_what_left_the_plan_cannot_be_supposed_away(kind):
    gate = replace(JOB.gates[1], conditions=(ConditionStanding(kind, "gone"),), signers=())
    job = replace(JOB, gates=(JOB.gates[0], gate, JOB.gates[2]))
    assert [item.kind for item in suppose(job, "gate", [(kind, "gone")]).still] == ["not in the plan"]
