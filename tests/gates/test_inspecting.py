"""The official result of an inspection: what failed becomes work, holds the gates concerned, and comes again."""

import uuid
from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from coordination.access.permissions import NotAllowed
from coordination.evidence.arrivals import take_in
from coordination.evidence.items import HandIn
from coordination.evidence.refusals import NotHandedIn
from coordination.gates import actions
from coordination.gates.actions.inspecting import ItemWish
from coordination.gates.frozen_holds import earlier_rounds
from coordination.gates.models import Inspection, InspectionItem
from coordination.gates.own_work import WorkWish
from coordination.gates.queries import look_at
from coordination.gates.refusals import GateNotReady, NoResult, WorkCannotBe, WorkStays
from coordination.gates.rules import check_rules
from coordination.gates.sentences import cause_words, names_of
from coordination.handover.reading import Reader, frozen_cause
from coordination.projects.models import Link, Task
from tests.gates.sites import BACKING, BOARD, JOB, ROUGH, SWEEP, Site, build, picture

CARD = "rough@pit#inspection"
INSPECTED = replace(
    ROUGH, requirements=(ROUGH.requirements[0], replace(ROUGH.requirements[1], inspection=True))
)
JOB_INSPECTED = replace(JOB, tasks=tuple(INSPECTED if each == ROUGH else each for each in JOB.tasks))
BOX = ItemWish("Receptacle box loose", "pit", "electrical")


@pytest.fixture
def site(db):
    return build(derived=JOB_INSPECTED)


def report(site: Site, result: str, number: str = "E-77") -> HandIn:
    site.shade += 1
    arrived = take_in(site.project, picture(site.shade), kind="document", file_name="card.jpg")
    return HandIn(
        uuid.uuid4(),
        blob=arrived.blob,
        image=arrived.image,
        number=number,
        dated=site.at.date(),
        result=result,
    )


def inspect(site: Site, result: str, *items: ItemWish, by: str = "contractor", **more) -> Inspection:
    number = more.pop("number", "E-77")
    paper = more.pop("paper", None) or report(site, result, number)
    return actions.enter_result(
        site.project, site.who(by), site.step(), site.need(CARD).uid, paper, items=items, **more
    )


def begun(site: Site) -> None:
    site.back()
    site.settle()
    site.start(ROUGH.key, "electrician")
    site.photo("rough@pit#receptacle", "electrician")


def items_of(inspection: Inspection) -> list[Task]:
    """The work of its items, oldest first."""
    rows = InspectionItem.objects.filter(inspection=inspection).select_related("task").order_by("pk")
    return [row.task for row in rows]


def put_right(site: Site, task: Task) -> None:
    site.start(task.key, "electrician")
    site.photo(f"{task.key}#done", "electrician")
    site.offer(task.key, "electrician")
    site.review(f"{task.key}#done", "coordinator")


def missing(site: Site, gate: str = "close-in"):
    return [(m.kind, m.subject) for m in look_at(site.project, site.at).assessment.gates[gate].unsigned]


def keys(refusal):
    return [reason.key for reason in refusal.value.reasons]


def test_a_passed_inspection_releases_what_waits_for_it(site):
    begun(site)
    first = inspect(site, "passed")
    assert (missing(site), first.round, items_of(first)) == ([], 1, [])
    assert check_rules(site.project, site.at) == []


def test_each_failed_item_becomes_work_with_a_place_and_an_owner_that_the_gate_waits_for(site):
    begun(site)
    again = site.at.date() + timedelta(days=9)
    failed = inspect(site, "failed", BOX, ItemWish("Cover missing", "pit", "drywall"), again_on=again)
    [box, cover] = items_of(failed)
    assert [(row.place, row.trade, row.done_by, row.own) for row in (box, cover)] == [
        ("pit", "electrical", again - timedelta(days=1), True),
        ("pit", "drywall", again - timedelta(days=1), True),
    ]
    assert set(missing(site)) == {
        ("inspection failed", CARD),
        ("not begun", box.key),
        ("not handed in", f"{box.key}#done"),
        ("not begun", cover.key),
        ("not handed in", f"{cover.key}#done"),
    }
    held = look_at(site.project, site.at).assessment.tasks[ROUGH.key].offer_missing
    assert {m.subject for m in held} == {CARD, box.key, cover.key}


def test_when_all_are_put_right_and_it_passes_the_next_round_can_be_cleared(site):
    begun(site)
    inspect(site, "passed")
    site.sign("close-in", "contractor")
    site.sign("close-in", "crew")
    first = site.clear("close-in")
    site.start(BOARD.key, "other electrician")
    failed = inspect(site, "failed", BOX, number="E-78")
    first.refresh_from_db()
    [cause] = first.reopened_because
    assert (cause["verb"], cause["reasons"]) == ("inspection failed", ["E-78: Receptacle box loose"])
    for task in items_of(failed):
        put_right(site, task)
    with pytest.raises(GateNotReady):
        site.clear("close-in")
    again = inspect(site, "passed", number="E-79")
    assert (again.round, missing(site)) == (3, [])
    site.sign("close-in", "contractor")
    site.sign("close-in", "crew")
    second = site.clear("close-in")
    assert (second.round, check_rules(site.project, site.at)) == (2, [])


def test_passed_with_corrections_releases_and_the_gate_waits_for_the_corrections(site):
    begun(site)
    inspection = inspect(site, "passed with corrections", BOX)
    [box] = items_of(inspection)
    assert missing(site) == [("not begun", box.key), ("not handed in", f"{box.key}#done")]
    assert not Link.objects.filter(before=box, kind="FF").exists()
    put_right(site, box)
    assert missing(site) == []


def test_the_work_of_an_item_stays_through_a_change_of_plan_and_cannot_be_taken_back(site):
    begun(site)
    [box] = items_of(inspect(site, "failed", BOX))
    site.accept(replace(JOB_INSPECTED, drawing_revision="D"))
    assert ("not begun", box.key) in missing(site)
    with pytest.raises(WorkStays) as refusal:
        actions.take_back_work(site.project, site.who("contractor"), site.step(), box.uid, "no")
    assert keys(refusal) == ["an inspection asks for it", "a gate reads it"]


def test_what_does_not_fit_is_named_at_once(site):
    begun(site)
    with pytest.raises(NoResult) as refusal:
        inspect(site, "passed", BOX, again_on=site.at.date())
    assert keys(refusal) == ["passed has no items", "only a failed inspection comes again"]
    with pytest.raises(NoResult) as refusal:
        inspect(site, "failed")
    assert keys(refusal) == ["say what was not passed"]
    with pytest.raises(NoResult) as refusal:
        inspect(site, "failed", ItemWish(" ", "moon", "magic"))
    assert keys(refusal) == ["work without name", "no such place", "no such trade"]
    late = replace(BOX, due=site.at.date() + timedelta(days=5))
    with pytest.raises(NoResult) as refusal:
        inspect(site, "failed", late, again_on=site.at.date() + timedelta(days=5))
    assert keys(refusal) == ["item due after the re-inspection"]
    with pytest.raises(NotHandedIn) as refusal:
        inspect(site, "passed", paper=replace(report(site, "passed"), number="", blob=None, dated=None))
    assert keys(refusal) == ["file missing", "number missing", "date missing"]
    assert (Inspection.objects.count(), Task.objects.filter(own=True).count()) == (0, 0)


def test_a_failed_report_comes_in_by_no_other_door_and_none_without_its_result(site):
    begun(site)
    for result, reason in (("", "result missing"), ("failed", "a failed inspection names its items")):
        with pytest.raises(NotHandedIn) as refusal:
            site.hand_in(CARD, "contractor", report(site, result))
        assert keys(refusal) == [reason]


def test_the_same_report_sent_again_is_one_result(site):
    begun(site)
    paper = report(site, "failed")
    assert inspect(site, "failed", BOX, paper=paper) == inspect(site, "failed", BOX, paper=paper)
    assert Task.objects.filter(own=True).count() == 1


@pytest.mark.parametrize("name", ["electrician", "crew", "owner", "framer"])
def test_only_coordinator_and_contractor_enter_it(site, name):
    begun(site)
    with pytest.raises(NotAllowed):
        inspect(site, "failed", BOX, by=name)


def test_work_of_a_projects_own_is_added_held_accepted_and_taken_back(site):
    wish = WorkWish(
        "Patch the second half", "pit", "electrical", days=2, after=(SWEEP.key,), before=(BOARD.key,)
    )
    task = actions.add_work(site.project, site.who("contractor"), site.step(), wish)
    ready = look_at(site.project, site.at).assessment.tasks
    assert [m.subject for m in ready[task.key].start_missing] == [SWEEP.key]
    assert task.key in [m.subject for m in ready[BOARD.key].start_missing]
    for _turn in range(2):
        actions.take_back_work(site.project, site.who("coordinator"), site.step(), task.uid, "not split")
    assert task.key not in look_at(site.project, site.at).assessment.tasks
    round_about = replace(wish, after=(BOARD.key,), before=(BACKING.key,))
    with pytest.raises(WorkCannotBe) as refusal:
        actions.add_work(site.project, site.who("contractor"), site.step(), round_about)
    assert keys(refusal) == ["work closes a ring"]
    with pytest.raises(NotAllowed):
        actions.add_work(site.project, site.who("framer"), site.step(), wish)
    assert check_rules(site.project, site.at) == []


def test_a_reopening_by_a_failed_inspection_names_it_in_words_on_page_and_paper(site):
    begun(site)
    inspect(site, "passed")
    site.sign("close-in", "contractor")
    site.sign("close-in", "crew")
    site.clear("close-in")
    inspect(site, "failed", BOX, number="E-78")
    scene = look_at(site.project, site.at)
    [cause] = site.clearing("close-in").reopened_because
    words = "the inspection “Electrical inspection” was not passed: E-78: Receptacle box loose"
    assert cause_words(cause, names_of(scene)) == words
    [told] = earlier_rounds(scene.holding, site.gate("close-in"))
    elsewhere = {"gate": {"key": "handover", "text": {}}, "tasks": [], "concessions": []}
    reader = Reader("en", "us", ZoneInfo(site.project.zone))
    assert frozen_cause(told["because"][0], elsewhere, reader) == words
    older = {**elsewhere, "inspections": [{"requirement": CARD, "text": {"en": "Electrical inspection"}}]}
    assert frozen_cause(cause, older, reader) == words
