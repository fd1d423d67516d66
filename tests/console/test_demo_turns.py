"""What the demo's jobs do otherwise than planned: every key is one of the plan, and each turn goes through actions."""

from dataclasses import replace
from datetime import timedelta
from types import SimpleNamespace
from typing import Any

import pytest

from coordination.console.demo.hands import Hands
from coordination.console.demo.only_actions import only_actions
from coordination.console.demo.playing import Player
from coordination.console.demo.stories import SCENES, Scene
from coordination.console.demo.story import Document, Failing, Letting, Story
from coordination.console.demo.turns import HoldPoint, Permitting, Witnessing
from coordination.files.keeping import path_of
from coordination.gates.actions.inspecting import ItemWish
from coordination.gates.models import Attendance, Concession, Inspection, InspectionItem, WitnessNotice
from coordination.gates.own_gates import GateWish
from coordination.gates.rules import check_rules
from coordination.projects.models import Gate
from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import load_facts
from coordination.siteprep.plan import derive
from tests.gates.sites import BACKING, JOB, ROUGH, Site, build, with_requirement
from tests.gates.test_inspecting import CARD, JOB_INSPECTED, begun

SPREAD = "backing@rail-wall#spread"


@pytest.fixture
def site(db: Any) -> Site:
    return build(derived=JOB_INSPECTED)


def player(site: Site, **story: Any) -> Player:
    troupe = SimpleNamespace(
        project=site.project,
        as_role=lambda role, _now: site.who(role),
        as_company=lambda company, _now: site.who(company),
        cast=SimpleNamespace(company_of=lambda _trade: "electrician", signs_in=lambda _company: True),
    )
    found = Player(troupe, Story(**story), lambda _done, _of: None, Hands(site.project))  # type: ignore[arg-type]
    found.now = site.step()
    return found


def turned(site: Site, played: Player, hour: int = 7) -> Player:
    played.now = max(site.step(), played.now).replace(hour=hour)
    with only_actions():
        played._take_turns()
    return played


def test_a_hold_point_of_their_own_is_added_once(site: Site) -> None:
    wish = GateWish("Way in is clear", (BACKING.key,), (("task accepted", ROUGH.key),))
    played = turned(site, player(site, turns=(HoldPoint(wish),)))
    assert [gate.derived["text"]["en"] for gate in Gate.objects.filter(task__own=True)] == ["Way in is clear"]
    assert played.turns == []


def test_work_waits_for_the_day_the_party_was_told_and_who_came_is_said_then(site: Site) -> None:
    witnessing = Witnessing(BACKING.key, "owner", "mail", text="Owner may see it", notice_days=1)
    played = turned(site, turned(site, player(site, turns=(witnessing,))))
    [notice] = WitnessNotice.objects.all()
    task = site.task(BACKING.key)
    assert (notice.for_day, notice.how) == (notice.earliest, "mail")
    assert witnessing.keeps(task, played.look())
    played.now += timedelta(days=(notice.for_day - played.now.date()).days)
    assert not witnessing.keeps(task, played.look())
    turned(site, played, hour=15)
    [said] = Attendance.objects.all()
    assert (said.attended, said.who, played.turns) == (False, "", [])


def test_a_permit_is_given_before_the_work_by_every_role(site: Site) -> None:
    permit = Permitting(SPREAD, "No room.", "This wall.", quantity="1 bracket", days=9)
    played = turned(site, player(site, turns=(permit,)))
    [given] = Concession.objects.all()
    assert (given.kind, given.quantity, given.reason) == ("deviation permit", "1 bracket", "No room.")
    assert given.expires_on == played.now.date() + timedelta(days=9)
    assert played.look().ready(site.task(BACKING.key)).may_start


def test_a_failed_inspection_becomes_work_and_comes_again_on_its_day(site: Site) -> None:
    begun(site)
    item = ItemWish("Receptacle box loose", "pit", "electrical")
    played = player(site, failings=(Failing(CARD, "EL-1", (item,), days=3),))
    row, task = site.need(CARD), site.task(ROUGH.key)
    with only_actions():
        played._hand_over(task, played.look(), played.now.date())
        played._hand_over(task, played.look(), played.now.date())
    [inspection], [work] = Inspection.objects.all(), InspectionItem.objects.all()
    assert (inspection.evidence.result, inspection.evidence.number) == ("failed", "EL-1")
    assert (inspection.again_on, work.task.trade) == (played.again_on[CARD], "electrical")
    played.now += timedelta(days=7)
    with only_actions():
        played._hand_over(task, played.look(), played.now.date())
    assert [each.evidence.result for each in Inspection.objects.order_by("pk")] == ["failed", "passed"]
    assert played.look().holding.shown[row.pk].outcome != "failed"
    assert check_rules(site.project, played.now) == []


def test_what_nobody_may_let_go_an_authority_lets_go_with_its_document(db: Any) -> None:
    site = build(derived=with_requirement(JOB, BACKING.key, replace(BACKING.requirements[1], concede=())))
    site.authority("fire")
    letting = Letting(
        SPREAD, '32"', "It may be wider.", "This wall.", document=Document("fire", "FM-1", days=3)
    )
    played = player(site, lettings=(letting,))
    played.troupe.cast.company_of = lambda _trade: "framer"
    site.start(BACKING.key, "framer")
    task = site.task(BACKING.key)
    with only_actions():
        played._hand_in(task, site.need(SPREAD), SPREAD)
    [given] = Concession.objects.all()
    assert (given.kind, given.nonconformity.typed, given.reason) == ("variance", '32"', "It may be wider.")
    paper = given.variance
    assert (paper.authority_kind, paper.number, paper.file_name) == ("fire", "FM-1", "variance-FM-1.png")
    assert paper.dated == played.now.date() - timedelta(days=3)
    assert path_of(paper.blob).read_bytes().startswith(b"\x89PNG")
    played.now += timedelta(days=20)
    with only_actions():
        played._hand_over(task, played.look(), played.now.date())
    assert site.task(BACKING.key).finished_on is not None
    assert check_rules(site.project, played.now) == []


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.job.stem)
def test_what_a_story_names_stands_in_its_plan(scene: Scene) -> None:
    plan = derive(load_facts(scene.job), load_catalogue())
    needs = {f"{task.key}#{need.key}": need for task in plan.tasks for need in task.requirements}
    story = scene.story
    for letting in story.lettings:
        need = needs[letting.requirement]
        assert (bool(need.concede), need.release) == (letting.document is None, None)
    for failing in story.failings:
        assert needs[failing.requirement].inspection
    for turn in story.turns:
        if isinstance(turn, Permitting):
            assert needs[turn.requirement].concede
        if isinstance(turn, Witnessing):
            assert turn.text or next(task for task in plan.tasks if task.key == turn.task).witness
