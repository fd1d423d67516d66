"""A change of plan: the gate waits for it, and reopens when it alters what was read."""

from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from coordination.access.permissions import NotAllowed
from coordination.access.refusals import NotVisible
from coordination.gates import actions
from coordination.gates.frozen_holds import earlier_rounds
from coordination.gates.queries import assessment, look_at
from coordination.gates.refusals import GateNotReady
from coordination.gates.sentences import Names, cause_words
from coordination.handover.reading import Reader, frozen_cause
from coordination.projects.models import PlanRevision
from coordination.projects.refusals import ChangeGone
from coordination.record.queries import newest
from coordination.siteprep.plan import Duration
from tests.gates.sites import BACKING, CLOSE, INCH, JOB, ROUGH, build, reading, with_requirement
from tests.projects.small_plans import with_task, without_task

TIGHTER = reading(
    BACKING.key,
    "spread",
    low=INCH * 59 // 2,
    high=INCH * 61 // 2,
    accepts="coordinator",
    deputy="contractor",
    lift_critical=True,
    concede=("coordinator", "contractor"),
)


def accept(site, change):
    return actions.accept_change(site.project, site.who("coordinator"), site.step(), change.uid)


def test_while_facts_changed_and_the_plan_is_not_settled_no_gate_clears(site):
    site.signed()
    change = site.lay(with_requirement(JOB, BACKING.key, TIGHTER))
    with pytest.raises(GateNotReady) as refusal:
        site.clear("close-in")
    assert [m.kind for m in refusal.value.missing] == ["plan not settled"]
    accept(site, change)
    kinds = [m.kind for m in assessment(site.project, site.at).gates["close-in"].missing]
    assert kinds == [
        "not handed in",
        "signature for another standing",
        "signature for another standing",
    ]


def test_a_change_of_what_was_read_reopens_and_one_of_anything_else_does_not(site):
    site.signed()
    site.clear("close-in")
    longer = replace(ROUGH, duration=Duration(5, 6, 9))
    accept(site, site.lay(with_task(without_task(JOB, "sweep@pit"), longer)))
    assert site.clearing("close-in").reopened_at is None
    accept(site, site.lay(with_requirement(JOB, BACKING.key, TIGHTER)))
    assert site.clearing("close-in").reopened_at == site.at
    told = newest(site.project.stream, most=1)[0]
    assert (told.verb, [item["gate"] for item in told.body["reopens"]]) == ("plan accepted", ["close-in"])


def test_a_cleared_gate_stands_until_the_change_is_accepted(site):
    site.signed()
    site.clear("close-in")
    change = site.lay(with_requirement(JOB, BACKING.key, TIGHTER))
    site.state("pit.sump", True)
    assert actions.reopen_moved_gates(site.project, site.step()) == ()
    accept(site, change)
    assert site.clearing("close-in").reopened_at == site.at


def test_a_gate_that_leaves_the_plan_no_longer_stands(site):
    site.signed()
    site.clear("close-in")
    without = without_task(JOB, "close-in@site")
    without = replace(without, gates=(replace(JOB.gates[1], conditions=()),))
    accept(site, site.lay(without))
    assert site.clearing("close-in").reopened_at == site.at


def test_a_renamed_entry_is_the_same_work_and_reopens_nothing(site):
    site.signed()
    site.clear("close-in")
    renamed = replace(
        BACKING,
        key="blocking@rail-wall",
        entry="blocking",
        was=(BACKING.key,),
        requirements=tuple(replace(need, task="blocking@rail-wall") for need in BACKING.requirements),
    )
    tasks = tuple(renamed if each.key == BACKING.key else each for each in JOB.tasks)
    links = tuple(
        replace(link, before=renamed.key) if link.before == BACKING.key else link for link in JOB.links
    )
    first = replace(
        JOB.gates[0],
        conditions=tuple(
            replace(item, subject=renamed.key) if item.subject == BACKING.key else item
            for item in JOB.gates[0].conditions
        ),
    )
    accept(site, site.lay(replace(JOB, tasks=tasks, links=links, gates=(first, JOB.gates[1]))))
    assert site.clearing("close-in").reopened_at is None
    assert assessment(site.project, site.at).tasks[renamed.key].state == "accepted"


def test_accepting_twice_is_harmless_and_a_replaced_change_is_gone(site):
    first = site.lay(with_requirement(JOB, BACKING.key, TIGHTER))
    second = site.lay(without_task(JOB, "sweep@pit"))
    with pytest.raises(ChangeGone):
        accept(site, first)
    revision = accept(site, second)
    assert accept(site, second) == revision
    assert list(PlanRevision.objects.filter(project=site.project).values_list("number", flat=True)) == [1, 2]


def test_only_the_coordinator_accepts_and_only_a_change_of_this_project(site):
    change = site.lay(without_task(JOB, "sweep@pit"))
    with pytest.raises(NotAllowed):
        actions.accept_change(site.project, site.who("contractor"), site.step(), change.uid)
    other = build("other-")
    with pytest.raises(NotVisible):
        accept(other, change)


def test_a_tightened_tolerance_asks_for_review_again_and_keeps_what_was_handed_in(site):
    site.back()
    accept(site, site.lay(with_requirement(JOB, BACKING.key, TIGHTER)))
    found = assessment(site.project, site.at).tasks["board@rail-wall"].start_missing
    assert [(m.kind, m.subject) for m in found if m.task == BACKING.key] == [
        ("not handed in", "backing@rail-wall#spread")
    ]
    site.read("backing@rail-wall#spread", "framer", '30"')
    site.review("backing@rail-wall#spread", "coordinator")
    assert assessment(site.project, site.at).tasks[BACKING.key].state == "accepted"


def test_a_gate_that_gets_another_milestone_keeps_what_was_decided_at_it(site):
    site.signed()
    site.clear("close-in")
    before = site.clearing("close-in")
    uid = site.gate("close-in").uid
    moved = replace(CLOSE, key="close-in-2@site", place="site")
    links = tuple(
        replace(link, **{end: moved.key for end in ("before", "after") if getattr(link, end) == CLOSE.key})
        for link in JOB.links
    )
    gates = tuple(replace(each, task=moved.key) if each.key == "close-in" else each for each in JOB.gates)
    tasks = tuple(moved if each.key == CLOSE.key else each for each in JOB.tasks)
    there = replace(JOB, tasks=tasks, links=links, gates=gates)
    for derived, milestone in ((there, moved.key), (JOB, CLOSE.key)):
        accept(site, site.lay(derived))
        scene = look_at(site.project, site.at)
        gate = scene.holding.gate_by_key["close-in"]
        assert (gate.uid, scene.holding.task[gate.task_id].key) == (uid, milestone)
        assert scene.assessment.gates["close-in"].state == "cleared"
        assert site.clearing("close-in") == before


def test_a_cause_about_what_left_the_plan_is_told_in_its_last_words(site):
    spread = f"{BACKING.key}#spread"
    site.start(BACKING.key, "framer")
    site.photo(f"{BACKING.key}#left", "framer")
    site.read(spread, "framer", '32"')
    for role in ("coordinator", "contractor"):
        granted = site.concede(spread, role)
    site.inspect()
    site.settle()
    site.review(f"{BACKING.key}#left", "contractor")
    site.answer(site.offer(BACKING.key, "framer"), "rails@hoistway", "crew")
    for role in ("contractor", "crew"):
        site.sign("close-in", role)
    site.clear("close-in")
    actions.end_concession(site.project, site.who("contractor"), site.step(), granted.uid, "wrong wall")
    without = replace(BACKING, requirements=BACKING.requirements[:1])
    accept(site, site.lay(with_task(without_task(JOB, BACKING.key), without)))
    holding = look_at(site.project, site.step()).holding
    [cause] = site.clearing("close-in").reopened_because
    assert cause["subject"] == spread
    assert spread not in holding.requirement_by_key
    assert cause_words(cause, Names(holding)) == "the concession on “spread” was taken back: wrong wall"
    [earlier] = earlier_rounds(holding, site.gate("close-in"))
    assert earlier["because"][0]["text"] == {"en": "spread"}


def test_what_has_no_words_left_is_not_told_by_its_key(site):
    names = Names(look_at(site.project, site.step()).holding)
    assert names.subject("gone@pit#lamp") == "a requirement that is no longer asked for"
    nothing = {"gate": {"key": "close-in", "text": {}}, "concessions": [], "tasks": []}
    cause = {"verb": "concession lapsed", "subject": "gone@pit#lamp", "text": {}}
    words = frozen_cause(cause, nothing, Reader("en", "us", ZoneInfo("America/New_York")))
    assert words == "the concession on “a requirement that is no longer asked for” ran out"
