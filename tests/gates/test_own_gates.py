"""A project's own hold point: it holds, it clears, it survives a change of plan, it moves dates."""

from dataclasses import replace

import pytest

from coordination.access.permissions import NotAllowed
from coordination.access.refusals import NotVisible
from coordination.dates.queries import schedule_of
from coordination.dates.what_if import dates_under
from coordination.gates import actions
from coordination.gates.ordering import gates_in_order, last_gate
from coordination.gates.own_gates import CHOSEN, GateWish
from coordination.gates.queries import look_at
from coordination.gates.refusals import GateCannotBe, GateNotReady, GateStays, TaskHeld
from coordination.gates.rules import check_rules
from coordination.projects.models import Condition, Gate, Link, Task
from coordination.siteprep.plan import Condition as Planned
from coordination.siteprep.plan import Link as Follows
from tests.gates.sites import BACKING, BOARD, JOB, RAILS, ROUGH, SWEEP, Site

MIRROR = GateWish(
    "Mirror looked at by the owner",
    before=(BOARD.key,),
    conditions=(
        ("task accepted", SWEEP.key),
        ("requirement satisfied", "backing@rail-wall#spread"),
        ("document present", "rough@pit#inspection"),
        ("question answered", "pit.sump"),
    ),
    signers=("owner",),
    clears="coordinator",
)


def add(site: Site, wish: GateWish = MIRROR, by: str = "contractor") -> Gate:
    if not look_at(site.project, site.at).holding.newest_entry.get("pit.sump"):
        site.state("pit.sump", None, "unknown")
    return actions.add_gate(site.project, site.who(by), site.step(), wish)


def back(site: Site, gate: Gate, by: str = "coordinator", reason: str = "not wanted") -> None:
    actions.take_back_gate(site.project, site.who(by), site.step(), gate.uid, reason)


def keys(refusal):
    return [reason.key for reason in refusal.value.reasons]


def missing(site: Site, gate: Gate):
    return [(m.kind, m.subject) for m in look_at(site.project, site.at).assessment.gates[gate.key].missing]


def test_it_holds_what_stands_behind_it_until_every_condition_is_met_and_signed(site):
    gate = add(site)
    assert missing(site, gate) == [
        ("question open", "pit.sump"),
        ("not handed in", "backing@rail-wall#spread"),
        ("authority document missing", "rough@pit#inspection"),
        ("not begun", SWEEP.key),
        ("signature missing", "owner"),
    ]
    site.signed()
    site.clear("close-in")
    with pytest.raises(TaskHeld) as held:
        site.start(BOARD.key, "other electrician")
    assert [(m.kind, m.subject) for m in held.value.reasons] == [("gate not cleared", gate.key)]
    site.start(SWEEP.key, "contractor")
    site.offer(SWEEP.key, "contractor")
    site.sign(gate.key, "owner")
    with pytest.raises(NotAllowed):
        site.clear(gate.key, "contractor")
    clearing = site.clear(gate.key, "coordinator")
    site.start(BOARD.key, "other electrician")
    assert (clearing.round, check_rules(site.project, site.at)) == (1, [])


def test_it_reopens_for_what_it_reads_and_for_nothing_else(site):
    site.ready()
    gate = add(site, replace(MIRROR, conditions=MIRROR.conditions[1:], signers=()))
    site.clear(gate.key, "coordinator")
    site.start(SWEEP.key, "contractor")
    assert site.clearing(gate.key).reopened_at is None
    site.state("pit.sump", True)
    [moved] = actions.reopen_moved_gates(site.project, site.step())
    assert (moved.gate, site.clearing(gate.key).reopened_at) == (gate, site.at)


def test_a_change_of_plan_leaves_it_alone_and_it_holds_work_that_comes_back(site):
    gate = add(site)
    before = list(Condition.objects.filter(gate=gate, retired_in=None).values_list("kind", "subject"))
    without = replace(
        JOB,
        tasks=tuple(each for each in JOB.tasks if each.key != SWEEP.key),
        drawing_revision="D",
    )
    site.accept(without)
    assert ("not in the plan", SWEEP.key) in missing(site, gate)
    site.accept(replace(JOB, drawing_revision="E"))
    after = list(Condition.objects.filter(gate=gate, retired_in=None).values_list("kind", "subject"))
    assert (after, missing(site, gate)[-2]) == (before, ("not begun", SWEEP.key))
    assert Link.objects.filter(own=True, retired_in=None).count() == 4


def test_it_follows_an_entry_that_is_called_otherwise(site):
    gate = add(site)
    named = replace(SWEEP, key="broom@pit", entry="broom", was=(SWEEP.key,))
    site.accept(replace(JOB, tasks=tuple(named if each == SWEEP else each for each in JOB.tasks)))
    assert ("not begun", "broom@pit") in missing(site, gate)


def test_it_moves_the_dates_and_a_later_plan_that_closes_a_ring_with_it_still_has_dates(site):
    today = site.at.date()
    before = schedule_of(site.project, today).tasks[RAILS.key].early_start
    gate = add(
        site,
        GateWish("First things", (RAILS.key,), (("task accepted", ROUGH.key), ("task accepted", SWEEP.key))),
    )
    dated = schedule_of(site.project, today)
    assert gate.key in dated.gates
    assert dated.tasks[RAILS.key].early_start >= before
    ring = replace(JOB, links=(*JOB.links, Follows(RAILS.key, SWEEP.key, "FS")))
    assert gate.key in dates_under(site.project, ring, today).gates
    site.accept(ring)
    assert gate.key in schedule_of(site.project, site.at.date()).gates


def test_the_gates_stand_in_the_order_of_the_work_and_the_plans_is_last(site):
    gate = add(site)
    holding = look_at(site.project, site.at).holding
    assert [row.key for row in gates_in_order(holding)] == ["close-in", gate.key, "handover"]
    assert last_gate(holding).key == "handover"


def test_everything_that_is_wrong_with_it_is_named_at_once(site):
    site.start(BACKING.key, "framer")
    wish = GateWish(
        " ",
        before=(BACKING.key, "nowhere@pit", "close-in@site"),
        conditions=(("signature", "owner"), ("document present", "backing@rail-wall#left")),
        clears="owner",
    )
    with pytest.raises(GateCannotBe) as refusal:
        add(site, wish)
    assert keys(refusal) == [
        "gate without name", "behind a gate too late", "no such work", "no such work",
        "no such condition", "no such condition", "no such role",
    ]  # fmt: skip
    with pytest.raises(GateCannotBe) as refusal:
        add(site, GateWish("close-in"))
    assert keys(refusal) == ["gate of that name", "gate in front of nothing", "gate without condition"]
    with pytest.raises(GateCannotBe) as refusal:
        add(site, GateWish("Round", (ROUGH.key,), (("task accepted", ROUGH.key),)))
    assert keys(refusal) == ["gate closes a ring"]
    assert not Task.objects.filter(own=True).exists()


def test_each_kind_of_condition_can_be_chosen_but_signatures_follow_from_who_signs():
    assert set(CHOSEN) | {"signature"} == set(Planned.__dataclass_fields__ and Condition.KINDS)


def test_it_is_taken_back_only_while_nobody_has_cleared_it_and_nothing_waits_for_it(site):
    gate = add(site)
    for _turn in range(2):
        back(site, gate)
    assert gate.key not in look_at(site.project, site.at).assessment.gates
    with pytest.raises(GateStays) as refusal:
        back(site, site.gate("close-in"))
    assert keys(refusal) == ["gate of the plan"] or keys(refusal) == [
        "gate of the plan",
        "another gate reads it",
    ]
    site.ready()
    other = add(site, replace(MIRROR, name="Again", conditions=MIRROR.conditions[1:], signers=()))
    last = add(site, GateWish("Then", (BOARD.key,), (("gate cleared", other.key),)))
    site.clear(other.key, "coordinator")
    with pytest.raises(GateStays) as refusal:
        back(site, other)
    assert keys(refusal) == ["gate was cleared", "another gate reads it"]
    back(site, last)
    assert check_rules(site.project, site.at) == []


@pytest.mark.parametrize("name", ["crew", "framer", "owner", "electrician"])
def test_only_coordinator_and_contractor_add_one_or_take_it_back(site, name):
    gate = add(site)
    with pytest.raises(NotAllowed):
        add(site, replace(MIRROR, name="Another"), by=name)
    with pytest.raises(NotAllowed):
        back(site, gate, by=name)


def test_a_gate_of_another_project_is_not_here(site):
    from tests.gates.sites import build

    far = build("far.")
    gate = add(far)
    with pytest.raises(NotVisible):
        back(site, gate)
    with pytest.raises(GateNotReady):
        far.clear(gate.key, "coordinator")
