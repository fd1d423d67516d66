"""Clearing: refused with everything that is missing, and then a snapshot that reopens only for what it read."""

import hashlib
import json
from dataclasses import replace

import pytest

from coordination.access.permissions import NotAllowed
from coordination.dates.models import Baseline
from coordination.evidence.models import Evidence, Rendition
from coordination.files.keeping import path_of
from coordination.gates import actions
from coordination.gates.models import Clearing
from coordination.gates.queries import assessment, clearings, look_at
from coordination.gates.refusals import GateNotReady, TaskHeld
from coordination.record.models import Event
from coordination.record.queries import newest
from coordination.siteprep.plan import Condition
from tests.gates.sites import BACKING, BOARD, JOB, ROUGH, build


def kinds(refusal):
    return [(m.kind, m.subject, m.owner) for m in refusal.value.missing]


def test_nothing_is_cleared_while_anything_is_missing(site):
    site.back()
    site.start(ROUGH.key, "electrician")
    with pytest.raises(GateNotReady) as refusal:
        site.clear("close-in")
    assert kinds(refusal) == [
        ("question open", "pit.sump", ""),
        ("authority document missing", "rough@pit#inspection", ""),
        ("signature missing", "contractor", "Ana Ruiz, Tern Hill Builders"),
        ("signature missing", "lift crew", "Lou Becker, Low Rise Lift Supply"),
    ]
    assert Clearing.objects.count() == 0


@pytest.mark.parametrize("name", ["coordinator", "crew", "framer", "owner"])
def test_only_the_named_role_clears(site, name):
    site.signed()
    with pytest.raises(NotAllowed):
        site.clear("close-in", name)


def test_clearing_twice_gives_the_same_clearing(site):
    site.signed()
    first = site.clear("close-in")
    length = newest(site.project.stream, most=1)[0].seq
    assert (site.clear("close-in"), newest(site.project.stream, most=1)[0].seq) == (first, length)


def test_the_snapshot_is_canonical_and_hangs_in_the_record(site):
    site.signed()
    head = Event.objects.filter(stream=site.project.stream).latest("seq")
    clearing = site.clear("close-in")
    raw = bytes(clearing.snapshot)
    told = json.loads(raw)
    assert json.dumps(told, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode() == raw
    assert hashlib.sha256(raw).hexdigest() == clearing.sha256
    assert told["head_before"] == {"length": head.seq, "hash": head.hash}
    assert (clearing.event.prev, json.loads(clearing.event.body)["snapshot_sha256"]) == (
        head.hash,
        clearing.sha256,
    )


def test_the_snapshot_says_everything_that_was_read(site):
    site.signed()
    told = json.loads(bytes(site.clear("close-in").snapshot))
    backing, rough = told["tasks"][1], told["tasks"][0]
    photo, spread = backing["requirements"]
    assert [task["key"] for task in told["tasks"]] == [ROUGH.key, BACKING.key]
    assert [(c["kind"], c["subject"], c["how"]) for c in told["conditions"]] == [
        ("question answered", "pit.sump", "answered"),
        ("requirement satisfied", "rough@pit#inspection", "released"),
        ("task accepted", "backing@rail-wall", "accepted"),
    ]
    assert (spread["low"], spread["high"], spread["unit"]) == (736600000, 787400000, "length")
    assert [(e["value"], e["typed"], e["in_tolerance"], e["instrument"]) for e in spread["evidence"]] == [
        (762000000, '30"', True, "tape")
    ]
    assert spread["source"] == {
        "document": "common practice",
        "clause": "",
        "status": "practice",
        "confirm_with": "",
    }
    assert spread["evidence"][0]["review"]["reviewer"] == "Ida Marsh"
    assert [(h["to"], h["receiver"], h["outcome"], h["by"]) for h in backing["handoffs"]] == [
        ("rails@hoistway", "Low Rise Lift Supply", "accepted", "Lou Becker")
    ]
    original = Evidence.objects.get(requirement__key="left")
    copy = Rendition.objects.get(evidence=original, size=1600)
    assert photo["evidence"][0]["sha256"] == original.blob.sha256
    assert photo["evidence"][0]["rendition"] == {"sha256": copy.blob.sha256, "width": 400, "height": 300}
    assert path_of(copy.blob).exists()
    assert [(r["key"], r["how"]) for r in rough["requirements"]] == [
        ("receptacle", "done"),
        ("inspection", "released"),
    ]
    assert [(s["role"], s["name"]) for s in told["signatures"]] == [
        ("contractor", "Ana Ruiz"),
        ("lift crew", "Lou Becker"),
    ]
    assert (told["plan"]["revision"], told["plan"]["drawing_revision"]) == (1, "C")
    assert [(f["key"], f["state"], f["value"], f["said_by"]) for f in told["facts"]] == [
        ("pit.sump", "known", False, "engineer")
    ]
    assert {place["key"]: place["state"] for place in told["places"]} == {
        "pit": "ready",
        "rail-wall": "ready",
        "hoistway": "ready",
        "site": "ready",
    }
    assert told["drawing"]["units"] == "us"


def test_the_dates_are_kept_as_they_stood(site):
    site.signed()
    clearing = site.clear("close-in")
    row = Baseline.objects.get(project=site.project)
    assert (row.reason, row.event) == ("gate cleared: close-in", clearing.event)
    assert "board@rail-wall" in json.loads(row.dates)


def test_the_last_gate_holds_all_the_work(site):
    site.signed()
    site.clear("close-in")
    told = json.loads(bytes(site.clear("handover").snapshot))
    assert {task["key"] for task in told["tasks"]} == {
        "backing@rail-wall",
        "board@rail-wall",
        "rails@hoistway",
        "rough@pit",
        "sweep@pit",
    }


def test_the_same_standing_makes_the_same_snapshot_bytes(site):
    from coordination.access.deciding import deciding
    from coordination.gates.snapshots import snapshot_of

    site.signed()
    made = []
    for _turn in range(2):
        with deciding(site.project, site.who("contractor"), site.at) as pen:
            scene = look_at(site.project, site.at)
            made.append(snapshot_of(scene, scene.holding.gate_by_key["close-in"], pen))
            pen.leave_as_it_is()
    assert made[0] == made[1]


def test_withdrawn_evidence_reopens_the_gate_and_names_who_is_at_work_behind_it(site):
    site.signed()
    site.clear("close-in")
    site.clear("handover")
    site.start(BOARD.key, "other electrician")
    site.withdraw(Evidence.objects.get(requirement__key="left"), "framer", "it was another wall")
    body = newest(site.project.stream, most=1)[0].body
    working = [{"task": "board@rail-wall", "company": "Cold Spring Electric", "phone": "555-0121"}]
    assert [(item["gate"], item["round"], item["at_work"]) for item in body["reopens"]] == [
        ("close-in", 1, working),
        ("handover", 1, []),
    ]
    assert body["at_work_over_it"] == working
    scene = look_at(site.project, site.at)
    view = clearings(scene, scene.holding.gate_by_key["close-in"])[0]
    assert (view.superseded, view.because[0]["verb"], view.because[0]["reasons"]) == (
        True,
        "evidence withdrawn",
        ["it was another wall"],
    )
    assert [item.phone for item in view.at_work] == ["555-0121"]
    assert scene.assessment.gates["close-in"].state == "held"


def test_what_no_condition_reads_reopens_nothing(site):
    site.signed()
    site.clear("close-in")
    site.withdraw(Evidence.objects.get(requirement__key="receptacle"), "electrician")
    assert site.clearing("close-in").reopened_at is None
    assert newest(site.project.stream, most=1)[0].body["reopens"] == []


def test_evidence_added_after_the_clearing_was_not_read_by_it(db):
    reads = Condition("requirement satisfied", "rough@pit#receptacle")
    first = replace(JOB.gates[0], conditions=(*JOB.gates[0].conditions, reads))
    site = build(derived=replace(JOB, gates=(first, JOB.gates[1])))
    site.signed()
    site.clear("close-in")
    added = site.photo("rough@pit#receptacle", "electrician")
    assert actions.reopen_moved_gates(site.project, site.step()) == ()
    site.withdraw(added, "electrician")
    assert site.clearing("close-in").reopened_at is None
    site.withdraw(Evidence.objects.get(requirement__key="receptacle", withdrawn_at=None), "electrician")
    assert site.clearing("close-in").reopened_at == site.at


def test_a_reopened_gate_is_cleared_in_a_second_round(site):
    site.signed()
    first = site.clear("close-in")
    site.withdraw(Evidence.objects.get(requirement__key="inspection"), "contractor")
    with pytest.raises(TaskHeld):
        site.start(BOARD.key, "other electrician")
    site.document("rough@pit#inspection", "contractor", number="E-78")
    with pytest.raises(GateNotReady) as refusal:
        site.clear("close-in")
    assert [m.kind for m in refusal.value.missing] == ["signature missing", "signature missing"]
    site.sign("close-in", "contractor")
    site.sign("close-in", "crew")
    second = site.clear("close-in")
    assert (second.round, second.reopened_at) == (2, None)
    assert Clearing.objects.get(pk=first.pk).sha256 == first.sha256


def test_a_gate_whose_other_gate_reopens_reopens_too(site):
    site.signed()
    site.clear("close-in")
    site.clear("handover")
    actions.take_back_acceptance(
        site.project,
        site.who("coordinator"),
        site.step(),
        site.need("backing@rail-wall#spread").uid,
        ["measured at the wrong bracket"],
    )
    assert [site.clearing(key).reopened_at for key in ("close-in", "handover")] == [site.at, site.at]


def test_a_fact_that_a_condition_read_reopens_the_gate_where_no_plan_changes(site):
    site.signed()
    site.clear("close-in")
    site.state("pit.sump", True)
    moved = actions.reopen_moved_gates(site.project, site.step())
    assert [item.gate.key for item in moved] == ["close-in"]
    assert actions.reopen_moved_gates(site.project, site.step()) == ()


def test_a_photo_of_which_no_copy_can_be_made_is_pinned_as_missing(site):
    site.ready()
    evidence = Evidence.objects.get(requirement__key="left")
    path = path_of(evidence.blob)
    path.chmod(0o640)
    path.write_bytes(path.read_bytes()[:-300])
    site.sign("close-in", "contractor")
    site.sign("close-in", "crew")
    told = json.loads(bytes(site.clear("close-in").snapshot))
    shown = told["tasks"][1]["requirements"][0]["evidence"][0]
    assert (shown["rendition"], shown["sha256"]) == (None, evidence.blob.sha256)


def test_two_projects_do_not_see_each_other(site):
    other = build("other-")
    site.signed()
    site.clear("close-in")
    found = assessment(other.project, other.at).gates["close-in"]
    assert found.state == "held"
