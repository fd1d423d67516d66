"""Witness points: told, come or not come, and work goes on either way."""

import json
from dataclasses import replace
from datetime import timedelta

import pytest

from coordination.access.permissions import NotAllowed
from coordination.access.refusals import NotVisible
from coordination.gates import actions
from coordination.gates.models import Attendance, WitnessNotice
from coordination.gates.queries import look_at
from coordination.gates.refusals import NoWitness
from coordination.gates.rules import check_rules
from coordination.gates.witnessing import points_of, told_by
from coordination.projects.models import Authority
from coordination.siteprep.plan_parts import WitnessPoint
from tests.gates.sites import BACKING, JOB, PRACTICE, Site, build

LOOK = WitnessPoint("steel-look", "engineer", {"en": "Engineer looks at it"}, PRACTICE, 2)
WITNESSED = replace(
    JOB,
    tasks=tuple(replace(each, witness=(LOOK,)) if each.key == BACKING.key else each for each in JOB.tasks),
)


@pytest.fixture
def site(db):
    return build(derived=WITNESSED)


def tell(site: Site, by: str = "framer", point: str = "steel-look", **more):
    told = {"for_day": site.at.date() + timedelta(days=4), "how": "telephone", **more}
    return actions.tell_witness(
        site.project, site.who(by), site.step(), site.task(BACKING.key).uid, point, **told
    )


def came(
    site: Site, notice: WitnessNotice, *, attended: bool = True, who: str = "P. Quill", by: str = "framer"
):
    return actions.say_attended(
        site.project, site.who(by), site.step(), notice.uid, attended=attended, who=who, note=""
    )


def point(site: Site):
    [found] = [
        each for each in points_of(look_at(site.project, site.at).holding) if each.task.key == BACKING.key
    ]
    return found


def keys(refusal):
    return [reason.key for reason in refusal.value.reasons]


def test_notice_is_given_the_party_comes_and_nothing_waited_for_it(site):
    before = look_at(site.project, site.at).assessment
    assert point(site).state == "none"
    notice = tell(site)
    assert (notice.party_name, notice.earliest, point(site).short) == (
        "",
        site.at.date() + timedelta(days=3),
        False,
    )
    assert look_at(site.project, site.at).assessment == before
    site.start(BACKING.key, "framer")
    site.step(days=4)
    came(site, notice)
    assert (point(site).state, point(site).attendance.who) == ("attended", "P. Quill")
    assert check_rules(site.project, site.at) == []


def test_a_party_that_did_not_come_is_said_and_work_has_gone_on(site):
    notice = tell(site, for_day=site.at.date() + timedelta(days=1))
    assert point(site).short
    site.back()
    site.step(days=2)
    for _turn in range(2):
        came(site, notice, attended=False, who="")
    assert (point(site).state, Attendance.objects.count()) == ("not attended", 1)
    assert look_at(site.project, site.at).assessment.tasks[BACKING.key].satisfied


def test_an_authoritys_own_notice_time_counts(site):
    Authority.objects.create(
        project=site.project, kind="building", name="Harbor building office", notice_days=5
    )
    own = actions.add_witness_point(
        site.project,
        site.who("contractor"),
        site.step(),
        site.task(BACKING.key).uid,
        party="building",
        text="Framing seen open",
        notice_days=1,
    )
    notice = tell(site, by="contractor", point=str(own.uid))
    assert (notice.party_name, notice.for_day < notice.earliest) == ("Harbor building office", True)
    holding = look_at(site.project, site.at).holding
    mine = next(each for each in points_of(holding) if each.own)
    begins = notice.earliest
    assert (
        told_by(holding, mine, begins) <= site.at.date() < told_by(holding, mine, begins + timedelta(days=7))
    )
    for _turn in range(2):
        actions.take_back_witness_point(site.project, site.who("contractor"), site.step(), own.uid)
    assert [each.own for each in points_of(look_at(site.project, site.at).holding)] == [None]


def test_told_twice_for_one_day_is_told_once_and_another_day_is_another_notice(site):
    assert tell(site) == tell(site)
    tell(site, for_day=site.at.date() + timedelta(days=6))
    assert WitnessNotice.objects.count() == 2
    assert point(site).notice.for_day == site.at.date() + timedelta(days=6)


def test_what_does_not_fit_is_named(site):
    with pytest.raises(NoWitness) as refusal:
        tell(site, for_day=site.at.date() - timedelta(days=1), how=" ")
    assert keys(refusal) == ["say how it was told", "told for a day that is over"]
    notice = tell(site)
    with pytest.raises(NoWitness) as refusal:
        came(site, notice, who=" ")
    assert keys(refusal) == ["not the day yet", "say who came"]
    with pytest.raises(NotVisible):
        tell(site, point="nowhere")
    with pytest.raises(NoWitness) as refusal:
        actions.add_witness_point(
            site.project,
            site.who("contractor"),
            site.step(),
            site.task(BACKING.key).uid,
            party="moon",
            text="",
            notice_days=99,
        )
    assert keys(refusal) == ["no such party", "say what is witnessed", "notice out of range"]


@pytest.mark.parametrize("name", ["electrician", "owner", "crew"])
def test_others_tell_nobody(site, name):
    with pytest.raises(NotAllowed):
        tell(site, by=name)


def test_what_a_gate_froze_says_who_was_told_and_who_came(site):
    notice = tell(site)
    site.step(days=4)
    came(site, notice)
    site.signed()
    frozen = json.loads(bytes(site.clear("close-in").snapshot))
    [told] = frozen["witness_points"]
    assert (told["party"], told["attended"], told["who"], told["notice"]["how"]) == (
        "engineer",
        True,
        "P. Quill",
        "telephone",
    )
    assert (frozen["inspections"], frozen["rounds"], frozen["concessions_ended"]) == ([], [], [])
