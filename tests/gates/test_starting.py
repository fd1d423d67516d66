"""Beginning work: what holds it is named whole, with owner and phone."""

import pytest

from coordination.access.permissions import NotAllowed
from coordination.access.refusals import NotVisible
from coordination.evidence.entering import EnteredFor
from coordination.evidence.refusals import SayForWhom
from coordination.gates import actions
from coordination.gates.refusals import LeftThePlan, NotAPieceOfWork, TaskHeld
from coordination.projects.models import Task
from coordination.record.queries import newest
from tests.gates.sites import BACKING, BOARD, JOB, RAILS, TEXTED, build
from tests.projects.small_plans import without_task
from tests.standing_cast import gather


def listed(refusal):
    return [(m.kind, m.subject, m.owner, m.phone) for m in refusal.value.missing]


def test_work_begins_on_the_projects_own_calendar(site):
    site.at = site.at.replace(hour=3, minute=0)  # still the evening before in New York
    begun = site.start(BACKING.key, "framer")
    assert (begun.begun_on.isoformat(), site.task(BACKING.key).begun_on) == ("2026-03-01", begun.begun_on)


def test_covering_work_waits_for_every_single_thing_and_is_told_who_owes_it(site):
    site.start(BACKING.key, "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.read("backing@rail-wall#spread", "framer", '30"')
    site.offer(BACKING.key, "framer")
    site.review("backing@rail-wall#left", "contractor", "refused", "too dark")
    with pytest.raises(TaskHeld) as refusal:
        site.start(BOARD.key, "other electrician")
    assert listed(refusal) == [
        ("not finished", "backing@rail-wall", "Copper Creek Framing", "555-0142"),
        ("refused", "backing@rail-wall#left", "Copper Creek Framing", "555-0142"),
        ("not reviewed", "backing@rail-wall#spread", "Ida Marsh, Low Rise Lift Supply", "555-0200"),
        ("gate not cleared", "close-in", "Ana Ruiz, Tern Hill Builders", "555-0201"),
    ]
    assert site.task(BOARD.key).begun_on is None


def test_a_receiver_waits_for_its_own_acceptance(site):
    site.start(BACKING.key, "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.read("backing@rail-wall#spread", "framer", '30"')
    site.offer(BACKING.key, "framer")
    with pytest.raises(TaskHeld) as refusal:
        site.start(RAILS.key, "crew")
    assert listed(refusal) == [
        ("handoff not answered", "backing@rail-wall>rails@hoistway", "Low Rise Lift Supply", "555-0100")
    ]


def test_starting_twice_is_one_decision(site):
    site.start(BACKING.key, "framer")
    before = len(newest(site.project.stream, most=99))
    site.start(BACKING.key, "framer")
    assert len(newest(site.project.stream, most=99)) == before


def test_whoever_starts_for_a_company_says_so(site):
    with pytest.raises(SayForWhom) as refusal:
        site.start(BACKING.key, "contractor")
    assert [reason.key for reason in refusal.value.reasons] == ["say for whom"]
    with pytest.raises(SayForWhom, match="another company"):
        site.start(BACKING.key, "contractor", for_other=EnteredFor("a call", "Juniper Electric"))
    site.start(BACKING.key, "contractor", for_other=TEXTED)
    body = newest(site.project.stream, most=1)[0].body
    assert (body["entered_for"], body["entry_source"]) == ("Copper Creek Framing", "texted photo")


@pytest.mark.parametrize("name", ["other electrician", "owner", "crew"])
def test_only_the_trades_own_people_start_its_work(site, name):
    with pytest.raises(NotAllowed):
        site.start(BACKING.key, name)


def test_a_link_starts_the_work_of_its_company_and_no_other(site):
    by_link = site.cast.by_link("framer", site.at)
    actions.start_task(site.project, by_link, site.step(), site.task(BACKING.key).uid)
    with pytest.raises(NotAllowed):
        actions.start_task(site.project, by_link, site.step(), site.task("rough@pit").uid)


def test_another_suppliers_task_is_not_there(site):
    other = build("other-")
    with pytest.raises(NotVisible):
        actions.start_task(
            site.project,
            site.who("framer"),
            site.step(),
            Task.objects.get(project=other.project, key=BACKING.key).uid,
        )
    stranger = gather("third-").visitor("framer")
    with pytest.raises(ValueError, match="another project"):
        actions.start_task(site.project, stranger, site.step(), site.task(BACKING.key).uid)


def test_what_left_the_plan_and_what_is_a_gate_do_not_begin(site):
    with pytest.raises(NotAPieceOfWork):
        site.start("close-in@site", "contractor")
    site.accept(without_task(JOB, "sweep@pit"))
    with pytest.raises(LeftThePlan):
        site.start("sweep@pit", "contractor")
