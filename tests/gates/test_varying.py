"""An authority's variance: for what nobody on the site may concede, by its own document alone."""

import json
from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from coordination.access.permissions import NotAllowed
from coordination.access.refusals import NotVisible
from coordination.files.keeping import path_of
from coordination.gates import actions
from coordination.gates.frozen_work import moment_of
from coordination.gates.models import Clearing, Concession, Variance, Voice
from coordination.gates.refusals import NoConcession
from coordination.gates.rules import check_rules
from coordination.handover.let_go import let_go
from coordination.handover.reading import Reader
from coordination.record.models import Event
from tests.gates.sites import BACKING, JOB, ROUGH, build, with_requirement

SPREAD = "backing@rail-wall#spread"
RECEPTACLE = "rough@pit#receptacle"
NOBODY_CONCEDES = with_requirement(JOB, BACKING.key, replace(BACKING.requirements[1], concede=()))


def keys(refusal):
    return [reason.key for reason in refusal.value.reasons]


@pytest.fixture
def off(db):
    """The spread, which nobody may concede, is an inch too wide; all else is there."""
    site = build(derived=NOBODY_CONCEDES)
    site.start(BACKING.key, "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.read(SPREAD, "framer", '32"')
    site.inspect()
    site.settle()
    return site


def pass_on(site):
    offer = site.offer(BACKING.key, "framer")
    site.review("backing@rail-wall#left", "contractor")
    site.answer(offer, "rails@hoistway", "crew")


def cleared(site) -> Clearing:
    site.sign("close-in", "contractor")
    site.sign("close-in", "crew")
    return site.clear("close-in")


def test_it_stands_at_once_in_one_event_and_the_gate_clears_with_it(off):
    with pytest.raises(NoConcession):
        off.concede(SPREAD, "coordinator")
    events = Event.objects.count()
    row = off.vary(SPREAD)
    assert Event.objects.count() == events + 1
    assert [(voice.role, voice.spoken_name) for voice in Voice.objects.all()] == [("contractor", "Ana Ruiz")]
    assert (row.kind, row.nonconformity.typed, row.variance.authority_name) == (
        "variance",
        '32"',
        "Town Hall",
    )
    pass_on(off)
    told = json.loads(bytes(cleared(off).snapshot))
    [frozen] = told["concessions"]
    assert frozen["variance"] == {
        "authority": {"kind": "building", "name": "Town Hall"},
        "number": "V-12",
        "dated": row.variance.dated.isoformat(),
        "sha256": row.variance.blob.sha256,
        "size": row.variance.blob.size,
        "file_name": "variance.jpg",
        "media_type": "image/jpeg",
        "received_at": moment_of(Voice.objects.get().at),
    }
    assert [
        need["how"] for task in told["tasks"] for need in task["requirements"] if need["key"] == "spread"
    ] == ["varied"]
    assert check_rules(off.project, off.at) == []


def test_ended_the_gate_reopens_and_later_papers_still_print_it(off):
    row = off.vary(SPREAD, "coordinator")
    pass_on(off)
    first = cleared(off)
    with pytest.raises(NotAllowed):
        actions.end_concession(off.project, off.who("crew"), off.step(), row.uid, "withdrawn")
    actions.end_concession(off.project, off.who("contractor"), off.step(), row.uid, "the town withdrew it")
    first.refresh_from_db()
    assert first.reopened_at == off.at
    off.read(SPREAD, "framer", '30"')
    off.review(SPREAD, "coordinator")
    off.answer(off.offer(BACKING.key, "framer"), "rails@hoistway", "crew")
    told = json.loads(bytes(cleared(off).snapshot))
    [line] = let_go(told, Reader("en", "us", ZoneInfo(off.project.zone)), {})
    assert line.kind == "Authority’s variance"
    assert line.variance.startswith("Town Hall (building department), No. V-12, dated ")
    assert (line.scan, line.ended.startswith("ended ")) == (row.variance.blob.sha256, True)
    [cause] = told["rounds"][0]["because"]
    assert (cause["subject"], cause["text"]) == (SPREAD, {"en": "spread"})
    assert check_rules(off.project, off.at) == []


def test_it_runs_out_and_another_takes_its_place(off):
    off.vary(SPREAD, expires_on=off.at.date() + timedelta(days=1))
    off.step(days=3)
    second = off.vary(SPREAD, number="V-13")
    assert [row.ended_at is None for row in Concession.objects.order_by("pk")] == [False, True]
    body = json.loads(Event.objects.get(seq=second.event.seq, stream=off.project.stream).body)
    assert body["in_place_of"] == str(Concession.objects.earliest("pk").uid)


def test_what_ran_out_ends_by_itself(off):
    off.vary(SPREAD, expires_on=off.at.date())
    off.step(days=2)
    assert len(actions.lapse_concessions(off.project, off.step())) == 1


def test_the_same_document_twice_is_one_variance_and_another_finds_nothing_to_let_go(off):
    row = off.vary(SPREAD)
    events = Event.objects.count()
    again = off.vary(SPREAD, blob=row.variance.blob)
    assert (again, Event.objects.count()) == (row, events)
    with pytest.raises(NoConcession) as refusal:
        off.vary(SPREAD, number="V-14")
    assert keys(refusal) == ["nothing to release"]


def test_every_fault_of_the_document_is_named_at_once(off):
    told = {"number": " ", "dated": None, "blob": None, "reason": "", "scope": " "}
    with pytest.raises(NoConcession) as refusal:
        off.vary(SPREAD, expires_on=off.at.date() - timedelta(days=2), **told)
    assert keys(refusal) == [
        "variance without number",
        "variance without date",
        "variance without scan",
        "say what it allows",
        "say how far it goes",
        "expired before it began",
    ]
    with pytest.raises(NoConcession) as refusal:
        off.vary(SPREAD, dated=off.at.date() + timedelta(days=2))
    assert keys(refusal) == ["variance not dated yet"]
    with pytest.raises(NoConcession) as refusal:
        off.vary(SPREAD, authority=None)
    assert keys(refusal) == ["say whose variance"]
    assert (Variance.objects.count(), Concession.objects.count()) == (0, 0)


def test_another_site_has_other_authorities_and_other_files(off):
    other = build("b-")
    with pytest.raises(NotVisible):
        off.vary(SPREAD, authority=other.authority().uid)
    off.vary(SPREAD)
    blob = Variance.objects.get().blob
    with pytest.raises(NotVisible):
        other.vary(RECEPTACLE, blob=blob)


def test_what_has_its_own_way_takes_no_variance(site):
    for need, key in ((SPREAD, "those named concede"), ("rough@pit#inspection", "attach its own document")):
        with pytest.raises(NoConcession) as refusal:
            site.vary(need)
        assert keys(refusal) == [key]


def test_before_the_work_it_stands_too_and_names_nothing_shown(site):
    assert site.vary(RECEPTACLE, "coordinator").nonconformity is None
    site.start(ROUGH.key, "electrician")
    site.document("rough@pit#inspection", "contractor")
    assert site.offer(ROUGH.key, "electrician") is None
    assert site.task(ROUGH.key).finished_on is not None


def test_nobody_else_attaches_one(off):
    for name in ("framer", "crew", "owner"):
        with pytest.raises(NotAllowed):
            off.vary(SPREAD, name)


@pytest.mark.parametrize(
    ("table", "changes", "kinds"),
    [
        (Variance, {"number": "V-99"}, {"a variance other than decided"}),
        (
            Concession,
            {"kind": "concession"},
            {"a concession with a variance's document", "conceded by other roles than named"},
        ),
        (Concession, {"needs": []}, {"conceded without roles, reason or scope", "a role spoke that may not"}),
        (Variance, None, {"a variance without the authority's document"}),
    ],
)
def test_the_rules_find_a_variance_that_was_not_decided_so(off, table, changes, kinds, free_rows):
    off.vary(SPREAD)
    free_rows(table, changes)
    assert {breach.kind for breach in check_rules(off.project, off.at) if breach.rule == 1} == kinds


def test_the_rules_read_the_scan_back(off):
    path_of(off.vary(SPREAD).variance.blob).unlink()
    found = [(item.rule, item.kind, item.subject) for item in check_rules(off.project, off.at)]
    assert found == [(4, "an original is missing", SPREAD)]


@pytest.fixture
def free_rows(db):
    """Change or remove rows as somebody with the disk would: without the triggers."""
    from django.db import connection

    def change(table, values):
        with connection.cursor() as cursor:
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
            for (name,) in cursor.fetchall():
                cursor.execute(f"DROP TRIGGER {name}")
        table.objects.update(**values) if values else table.objects.all().delete()

    return change
