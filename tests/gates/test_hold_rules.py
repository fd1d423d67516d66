"""What people added, inspections and witnesses are checked against the record like everything else."""

from datetime import timedelta

import pytest

from coordination.gates import actions
from coordination.gates.models import Attendance, Inspection, InspectionItem, WitnessNotice
from coordination.gates.own_work import WorkWish
from coordination.gates.rules import check_rules
from coordination.projects.models import Task
from coordination.record.models import Event
from tests.gates.sites import BACKING, build
from tests.gates.test_inspecting import BOX, JOB_INSPECTED, begun, inspect
from tests.gates.test_own_gates import MIRROR


@pytest.fixture
def site(db):
    site = build(derived=JOB_INSPECTED)
    begun(site)
    inspect(site, "failed", BOX)
    wish = WorkWish("Half of it", "pit", "framing")
    actions.add_work(site.project, site.who("contractor"), site.step(), wish)
    actions.add_gate(site.project, site.who("contractor"), site.step(), MIRROR)
    point = actions.add_witness_point(
        site.project,
        site.who("contractor"),
        site.step(),
        site.task("sweep@pit").uid,
        party="owner",
        text="Mirror",
    )
    told = {"for_day": site.at.date(), "how": "telephone"}
    notice = actions.tell_witness(
        site.project, site.who("contractor"), site.step(), site.task("sweep@pit").uid, str(point.uid), **told
    )
    actions.say_attended(
        site.project, site.who("contractor"), site.step(), notice.uid, attended=True, who="P. Quill"
    )
    return site


def found(site):
    return {(breach.rule, breach.kind, breach.subject) for breach in check_rules(site.project, site.at)}


def test_what_was_decided_breaks_no_rule(site):
    assert found(site) == set()


def test_rows_that_nobody_decided_are_named(site):
    event = Event.objects.filter(stream=site.project.stream).latest("seq")
    notice = WitnessNotice.objects.get()
    WitnessNotice.objects.create(
        task=notice.task,
        point=notice.point,
        party="owner",
        for_day=notice.for_day + timedelta(days=1),
        earliest=notice.earliest,
        how="letter",
        given_by="person:x",
        given_name="Nobody",
        at=site.at,
        event=event,
    )
    Attendance.objects.create(
        notice=notice, attended=False, said_by="person:x", said_name="Nobody", at=site.at, event=event
    )
    inspection = Inspection.objects.get()
    InspectionItem.objects.create(inspection=inspection, task=site.task(BACKING.key), event=event)
    Task.objects.filter(own=False, key="board@rail-wall").update(own=True)
    assert found(site) == {
        (2, "a witness other than told", "sweep@pit"),
        (2, "attended other than said", "sweep@pit"),
        (2, "an inspection other than entered", "rough@pit#inspection"),
        (2, "added without a decision", "board@rail-wall"),
    }
