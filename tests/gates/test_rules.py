"""The check of every rule over a whole database, attacked with bare SQL as somebody with the disk would."""

import json
import shutil
import sqlite3
import uuid
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from django.db import connections

from coordination.evidence.marking import MarkInput, put_mark, take_mark_back
from coordination.evidence.models import Evidence
from coordination.files.for_strangers import look_at
from coordination.files.keeping import path_of
from coordination.gates.actions import take_back_acceptance
from coordination.gates.rules import RULES, check_rules
from coordination.record.triggers import append_only_models
from tests.files.scans import scanned
from tests.gates.sites import BOARD, RAILS, Site, build


def work(site: Site) -> Site:
    """Everything has happened once: a concession, a clearing, covering work begun."""
    site.start("backing@rail-wall", "framer")
    photo = site.photo("backing@rail-wall#left", "framer")
    ring = MarkInput(uuid.uuid4(), "ring", ((1000, 2000), (3000, 4000)), "to be seen here")
    for given in (ring, replace(ring, sender_key=uuid.uuid4())):
        mark = put_mark(site.project, site.who("framer"), site.step(), photo.uid, given)
    take_mark_back(site.project, site.who("framer"), site.step(), mark.uid)
    site.read("backing@rail-wall#spread", "framer", '32"')
    site.concede("backing@rail-wall#spread", "coordinator")
    site.concede("backing@rail-wall#spread", "contractor", scope="")
    site.review("backing@rail-wall#left", "contractor")
    offer = site.offer("backing@rail-wall", "framer")
    site.answer(offer, RAILS.key, "crew")
    site.inspect()
    site.settle()
    site.sign("close-in", "contractor")
    site.sign("close-in", "crew")
    site.clear("close-in")
    site.start(BOARD.key, "other electrician")
    return site


@pytest.fixture(scope="module")
def worked_on(tmp_path_factory) -> dict[str, Any]:
    """The job's rows and files once they are made: each test attacks a copy."""
    return {"folder": tmp_path_factory.mktemp("worked-on")}


@pytest.fixture
def site(real_database: str, worked_on: dict[str, Any], settings: Any) -> Site:
    rows, kept = Path(real_database.removeprefix("sqlite://")), worked_on["folder"]
    if "site" not in worked_on:
        worked_on["site"] = work(build())
        connections.close_all()
        with sqlite3.connect(rows) as raw:
            raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        raw.close()
        shutil.copy(rows, kept / "rows.sqlite3")
        shutil.copytree(settings.FILES_ROOT, kept / "files")
    else:
        connections.close_all()
        shutil.copy(kept / "rows.sqlite3", rows)
        shutil.copytree(kept / "files", settings.FILES_ROOT, dirs_exist_ok=True)
    return replace(worked_on["site"])


def attack(path: str, *statements: str) -> None:
    """Change the file with triggers and constraints out of the way."""
    connections.close_all()
    with sqlite3.connect(path.removeprefix("sqlite://")) as raw:
        raw.execute("PRAGMA ignore_check_constraints = ON")
        for (name,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            raw.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            changed = raw.execute(statement).rowcount
            assert changed > 0 or not statement.startswith(("UPDATE", "DELETE", "INSERT")), statement
    raw.close()


def found(site: Site) -> set[tuple[int, str, str]]:
    return {(item.rule, item.kind, item.subject) for item in check_rules(site.project, site.at)}


LEFT, SPREAD = "backing@rail-wall#left", "backing@rail-wall#spread"
INSPECTION, RECEPTACLE = "rough@pit#inspection", "rough@pit#receptacle"
CHANGED = (3, "stands although what it read has changed", "close-in")
OVER = (1, "begun over work that was not accepted", "board@rail-wall")
OF = "(SELECT id FROM projects_requirement WHERE key = '{}')"
LEFT_ROW, SPREAD_ROW, INSPECTION_ROW = (OF.format(key) for key in ("left", "spread", "inspection"))

ATTACKS = {
    "a mark named by no refusal": (
        ["INSERT INTO evidence_marknamed (mark_id, event_id) SELECT id, event_id FROM evidence_mark LIMIT 1"],
        {(2, "marked other than decided", LEFT)},
    ),
    "a mark moved": (
        ["UPDATE evidence_mark SET x1 = 1 WHERE number = 1"],
        {(2, "marked other than decided", LEFT)},
    ),
    "a mark taken back by nobody": (
        ["UPDATE evidence_marktakenback SET mark_id = (SELECT id FROM evidence_mark WHERE number = 1)"],
        {(2, "marked other than decided", LEFT)},
    ),
    "covering work begun while the covered work is not accepted": (
        ["UPDATE evidence_review SET outcome = 'refused', reasons = '[\"dark\"]'"],
        {OVER, CHANGED, (2, "reviewed other than decided", LEFT)},
    ),
    "the review of covered work removed": (
        ["DELETE FROM evidence_review"],
        {OVER, CHANGED},
    ),
    "work begun with no decision": (
        ["UPDATE projects_task SET begun_on = '2026-03-02' WHERE key = 'rails@hoistway'"],
        {(1, "begun without a decision", "rails@hoistway")},
    ),
    "work finished with no decision": (
        ["UPDATE projects_task SET finished_on = '2026-03-02' WHERE key = 'board@rail-wall'"],
        {(2, "finished without a decision", "board@rail-wall")},
    ),
    "a handoff answered by nobody": (
        ["DELETE FROM gates_answer"],
        {OVER, CHANGED},
    ),
    "the gate before the covering work never cleared": (
        ["DELETE FROM gates_clearing"],
        {(1, "begun before its gate was cleared", "board@rail-wall")},
    ),
    "a voice of the concession removed": (
        ["DELETE FROM gates_voice WHERE role = 'contractor'"],
        {OVER, CHANGED},
    ),
    "a role spoke that the requirement does not name": (
        ["UPDATE gates_voice SET role = 'owner' WHERE role = 'contractor'"],
        {OVER, CHANGED, (1, "a role spoke that may not", SPREAD)},
    ),
    "one person for two roles": (
        [
            "CREATE TABLE loose AS SELECT * FROM gates_voice",
            "DROP TABLE gates_voice",
            "ALTER TABLE loose RENAME TO gates_voice",
            (
                "UPDATE gates_voice SET spoken_by = (SELECT spoken_by FROM gates_voice WHERE role = 'coordinator')"
                " WHERE role = 'contractor'"
            ),
        ],
        {(1, "one person spoke for two roles", SPREAD), (1, "a role spoke that may not", SPREAD)},
    ),
    "a concession of what an authority releases": (
        [
            (
                f"UPDATE gates_concession SET requirement_id = {INSPECTION_ROW}, terms_sha ="
                " (SELECT terms_sha FROM projects_requirement WHERE key = 'inspection')"
            )
        ],
        {
            OVER,
            CHANGED,
            (1, "conceded what an authority releases", INSPECTION),
            (1, "conceded by other roles than named", INSPECTION),
        },
    ),
    "an authority's document loses its number": (
        [f"UPDATE evidence_evidence SET number = '' WHERE requirement_id = {INSPECTION_ROW}"],
        {CHANGED, (2, "evidence other than handed in", INSPECTION)},
    ),
    "a reading changed": (
        [f"UPDATE evidence_evidence SET value = '762000000' WHERE requirement_id = {SPREAD_ROW}"],
        {(2, "evidence other than handed in", SPREAD)},
    ),
    "evidence withdrawn with no decision": (
        [f"UPDATE evidence_evidence SET withdrawn_at = received_at WHERE requirement_id = {LEFT_ROW}"],
        {OVER, CHANGED, (2, "withdrawn other than decided", LEFT)},
    ),
    "evidence counted again that was for other terms": (
        [f"UPDATE evidence_evidence SET terms_sha = 'x' WHERE requirement_id = {LEFT_ROW}"],
        {OVER, CHANGED},
    ),
    "a record cut and re-dated": (
        ["UPDATE record_event SET at = '2026-01-01T00:00:00.000000+00:00' WHERE verb = 'work begun'"],
        {(2, "the record is broken", "16")},
    ),
    "the snapshot rewritten": (
        ['UPDATE gates_clearing SET snapshot = CAST(\'{"head_before":{"hash":""}}\' AS BLOB)'],
        {(3, "the snapshot is not the one that was decided", "close-in")},
    ),
    "the digest rewritten": (
        ["UPDATE gates_clearing SET digest = 'x'"],
        {
            CHANGED,
            (3, "cleared other than decided", "close-in"),
            (3, "cleared without a signature", "close-in"),
        },
    ),
    "a signature removed": (
        ["DELETE FROM gates_signature WHERE role = 'lift crew'"],
        {(3, "cleared without a signature", "close-in")},
    ),
    "a gate reopened with no decision": (
        ["UPDATE gates_clearing SET reopened_at = '2027-01-01 00:00:00'"],
        {(3, "reopened without a decision", "close-in")},
    ),
    "the handover stands without the elevator authority": (
        [
            f"UPDATE projects_requirement SET \"release\" = 'elevator' WHERE id = {LEFT_ROW}",
            (
                "INSERT INTO gates_clearing (uid, gate_id, round, snapshot, sha256, digest, cleared_at, reopened_because,"
                " event_id) SELECT '00000000000000000000000000000001', (SELECT id FROM projects_gate WHERE key ="
                " 'handover'), 1, snapshot, sha256, digest, cleared_at, '[]', event_id FROM gates_clearing"
            ),
        ],
        {
            CHANGED,
            (3, "cleared other than decided", "handover"),
            (3, "stands although what it read has changed", "handover"),
            (8, "handed over without the authority's document", "handover"),
        },
    ),
    "a question closed although work still rests on it": (
        [
            (
                "UPDATE projects_task SET provisional = 1, derived = json_set(derived, '$.because', json('[\"pit.water\"]'))"
                " WHERE key = 'sweep@pit'"
            )
        ],
        {(5, "provisional without a question", "sweep@pit")},
    ),
    "work provisional for no reason": (
        ["UPDATE projects_task SET provisional = 1 WHERE key = 'sweep@pit'"],
        {(5, "provisional for no reason", "sweep@pit")},
    ),
    "a requirement without its source": (
        [
            (
                "UPDATE projects_requirement SET terms = json_remove(terms, '$.source', '$.unit')"
                f" WHERE id = {SPREAD_ROW}"
            )
        ],
        {(7, "asked for without a source", SPREAD), (7, "a reading without a unit", SPREAD)},
    ),
    "an own lift-critical entry reviewed": (
        [
            f"UPDATE projects_requirement SET lift_critical = 1 WHERE id = {LEFT_ROW}",
            "UPDATE evidence_review SET reviewer = (SELECT sender FROM evidence_evidence WHERE id = evidence_id)",
        ],
        {(2, "reviewed other than decided", LEFT), (9, "reviewed their own lift-critical entry", LEFT)},
    ),
    "an acceptance by nobody": (
        ["UPDATE evidence_review SET reviewer = 'system'"],
        {(2, "reviewed other than decided", LEFT), (10, "reviewed by nobody", LEFT)},
    ),
    "a handoff accepted by silence": (
        ["UPDATE gates_answer SET answered_by = 'system'"],
        {
            (2, "answered other than decided", "backing@rail-wall"),
            (10, "answered by nobody", "backing@rail-wall"),
        },
    ),
    "an acceptance for a receiver who still had time": (
        [
            "UPDATE gates_answer SET way = 'for the silent', instead_of = 'Low Rise', reasons = '[\"no answer\"]'"
        ],
        {(10, "accepted for a receiver who was not silent", "backing@rail-wall")},
    ),
    "a begin that took over what it never said": (
        ["UPDATE gates_answer SET way = 'by beginning'"],
        {(2, "answered other than decided", "backing@rail-wall")},
    ),
}


@pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
@pytest.mark.parametrize("name", ATTACKS)
def test_an_attack_on_the_rows_is_named_by_the_rule_it_breaks(site, real_database, name):
    statements, wanted = ATTACKS[name]
    assert found(site) == set()
    attack(real_database, *statements)
    if name == "a record cut and re-dated":
        assert {item[:2] for item in found(site)} == {item[:2] for item in wanted}
        return
    assert found(site) == wanted


def rewrite(path: str, verb: str, change) -> None:
    """Rewrite the events of a verb, and the whole chain after them, so that the chain itself holds."""
    from coordination.record.chaining import hash_of
    from coordination.record.models import Chain, Event

    attack(path, "UPDATE record_event SET claimed_at = claimed_at")
    for stream in Chain.objects.all():
        prev = "0" * 64
        for event in Event.objects.filter(stream=stream.stream).order_by("seq"):
            if event.verb == verb:
                change(event)
            event.prev = prev
            event.hash = prev = hash_of(event)
            event.save()
        Chain.objects.filter(pk=stream.pk).update(head=prev)


def with_actor(**told):
    def change(event) -> None:
        event.actor = json.dumps({**json.loads(event.actor), **told})

    return change


def with_body(**told):
    def change(event) -> None:
        event.body = json.dumps({**json.loads(event.body), **told})

    return change


@pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
@pytest.mark.parametrize(
    ("verb", "change", "wanted"),
    [
        (
            "gate cleared",
            with_actor(roles=["owner"]),
            {(6, "decided without the right to", "close-in")},
        ),
        (
            "evidence handed in",
            with_actor(trades=["flooring"]),
            {
                (9, "an entry for another that does not say so", LEFT),
                (9, "an entry for another that does not say so", SPREAD),
                (9, "an entry for another that does not say so", RECEPTACLE),
            },
        ),
        (
            "work begun",
            with_body(entered_for="Copper Creek Framing"),
            {
                (6, "entered for another without the right to", "backing@rail-wall"),
                (6, "entered for another without the right to", "rough@pit"),
                (6, "entered for another without the right to", "board@rail-wall"),
            },
        ),
        (
            "work offered",
            with_body(answer_by=None),
            {(10, "offered without a time to answer", "backing@rail-wall")},
        ),
        (
            "work offered",
            with_body(hours=24),
            {(10, "too long to answer for work about to be covered", "backing@rail-wall")},
        ),
        ("work begun", with_body(covers={}), {OVER}),
    ],
)
def test_even_a_record_rewritten_from_end_to_end_does_not_hide_a_broken_rule(
    site, real_database, verb, change, wanted
):
    rewrite(real_database, verb, change)
    left = found(site) - {(3, "the snapshot hangs elsewhere in the record", "close-in")}
    assert left == wanted


@pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
def test_originals_are_read_back(site, real_database):
    evidence = Evidence.objects.get(requirement__key="left")
    path: Path = path_of(evidence.blob)
    path.chmod(0o640)
    path.write_bytes(b"x")
    assert found(site) == {(4, "an original is altered", LEFT)}
    path.unlink()
    assert found(site) == {(4, "an original is missing", LEFT)}


@pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
def test_what_was_taken_back_after_covering_work_began_is_no_breach(site, real_database):
    take_back_acceptance(site.project, site.who("contractor"), site.step(), site.need(LEFT).uid, ["crooked"])
    assert found(site) == set()


def test_each_rule_of_the_design_is_asked_and_decisions_cannot_be_changed_in_passing():
    assert len(RULES) == 10
    names = {model._meta.label for model in append_only_models()}
    assert {"evidence.Review", "gates.Answer", "gates.Signature", "gates.Voice"} <= names


def paper_for_strangers(site: Site) -> Evidence:
    """The inspection's card scanned to PDF, and looked at."""
    row = Evidence.objects.select_related("blob").get(requirement=site.need(INSPECTION))
    site.withdraw(row, "contractor", "not readable")
    row = site.document(INSPECTION, "contractor", scanned())
    assert look_at(row.blob).is_copy
    return row


@pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
def test_what_strangers_get_of_a_document_is_looked_through(site, real_database):
    paper_for_strangers(site)
    assert {item for item in found(site) if item[0] == 4} == set()
    attack(real_database, "UPDATE files_paperforstrangers SET copy_id = blob_id")
    told = (4, "a document says where it was made", INSPECTION)
    assert told in found(site)
    attack(real_database, "UPDATE files_paperforstrangers SET copy_id = NULL, how = 'signed'")
    assert told in found(site)
    attack(real_database, "UPDATE files_paperforstrangers SET how = 'locked'")
    assert told not in found(site)


@pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
def test_the_copy_of_a_document_is_read_back(site, real_database):
    path = path_of(look_at(paper_for_strangers(site).blob).blob)
    path.chmod(0o640)
    path.write_bytes(b"x")
    assert (4, "a document's copy is altered", INSPECTION) in found(site)
    path.unlink()
    assert (4, "a document's copy is missing", INSPECTION) in found(site)
