"""The chain: one event per decision, append-only on both databases, and every tampering named."""

import sqlite3
import threading
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.db import DatabaseError, connection, connections

from coordination.record.actions import NothingWritten, WrittenTwice, deciding_on
from coordination.record.models import Chain, Event
from coordination.record.queries import decisions
from coordination.record.triggers import install_triggers, missing_triggers
from coordination.record.verification import Fault, Verified, verify_all, verify_stream

AT = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
ACTOR = {"identity": "person:1", "name": "Ana Ruiz", "role": "contractor"}


def decide(stream: str = "s", verb: str = "work begun", **body: object) -> Event:
    with deciding_on(stream, actor=ACTOR, at=AT) as pen:
        return pen.write(verb, subject="framing@rail-wall", body=body)


@pytest.mark.django_db
def test_events_hang_on_one_another_and_verify():
    first, second = decide(day=1), decide(day=2)
    assert (first.seq, second.seq, second.prev) == (1, 2, first.hash)
    assert verify_stream("s") == Verified("s", 2, second.hash)


@pytest.mark.django_db
def test_a_block_without_an_event_is_our_fault_and_keeps_nothing():
    with pytest.raises(NothingWritten), deciding_on("s", actor=ACTOR, at=AT):
        Chain.objects.create(stream="side effect")
    assert list(Chain.objects.values_list("stream", flat=True)) == []


@pytest.mark.django_db
def test_a_second_press_may_leave_things_as_they_are():
    with deciding_on("s", actor=ACTOR, at=AT) as pen:
        pen.leave_as_it_is()
    assert Event.objects.count() == 0


@pytest.mark.django_db
def test_two_events_in_one_block_are_refused():
    with pytest.raises(WrittenTwice), deciding_on("s", actor=ACTOR, at=AT) as pen:
        [pen.write(verb, subject="x", body={}) for verb in ("a", "b")]
    assert Event.objects.count() == 0


@pytest.mark.django_db
def test_what_was_written_is_read_back_as_it_was():
    decide(text="1' 2\" – ½ ñ", number=3)
    assert [(d.seq, d.at, d.actor, d.verb, d.subject, d.body) for d in decisions("s")] == [
        (1, AT, ACTOR, "work begun", "framing@rail-wall", {"text": "1' 2\" – ½ ñ", "number": 3})
    ]


def test_the_database_refuses_to_change_or_remove_an_event(real_database):
    decide()
    with pytest.raises(DatabaseError, match="append-only"):
        Event.objects.update(verb="nothing")
    with pytest.raises(DatabaseError, match="append-only"):
        Event.objects.all().delete()
    if connection.vendor == "postgresql":
        with pytest.raises(DatabaseError, match="append-only"), connection.cursor() as cursor:
            cursor.execute("TRUNCATE record_event CASCADE")
    assert verify_all() == [Verified("s", 1, Event.objects.get().hash)]


def test_missing_triggers_are_named_and_come_back(real_database):
    assert missing_triggers(connection) == []
    name = "record_event_refuses_update"
    on = "" if connection.vendor == "sqlite" else " ON record_event"
    with connection.cursor() as cursor:
        cursor.execute(f"DROP TRIGGER {name}{on}")
    assert missing_triggers(connection) == [name]
    install_triggers(connection)
    assert missing_triggers(connection) == []


def attack(path: str, *statements: str) -> None:
    """Change the file with bare sqlite3, as somebody with the disk would."""
    connections.close_all()
    with sqlite3.connect(path.removeprefix("sqlite://")) as raw:
        for (name,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            raw.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            raw.execute(statement)
    raw.close()


@pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
@pytest.mark.parametrize(
    ("statement", "place", "what"),
    [
        ("UPDATE record_event SET body = '{\"day\":9}' WHERE seq = 2", 2, "changed"),
        ("UPDATE record_event SET actor = '{}' WHERE seq = 3", 3, "changed"),
        ("DELETE FROM record_event WHERE seq = 2", 2, "missing"),
        ("DELETE FROM record_event WHERE seq = 4", 4, "cut off"),
        ("UPDATE record_event SET prev = 'x' WHERE seq = 3", 3, "unlinked"),
        ("DELETE FROM record_chain", 1, "no chain"),
        ("UPDATE record_chain SET length = 3", 4, "beyond the head"),
    ],
)
def test_an_attack_with_bare_sqlite_is_named_by_its_place(real_database, statement, place, what):
    for day in range(4):
        decide(day=day)
    attack(real_database, statement)
    assert verify_all() == [Fault("s", place, what)]


def test_two_deciders_at_once_are_put_in_order(real_database, tmp_path: Path):
    """The second decider waits at the lock and reads what the first has written."""
    inside, release, seen = threading.Event(), threading.Event(), []

    def first() -> None:
        with deciding_on("s", actor=ACTOR, at=AT) as pen:
            inside.set()
            release.wait(5)
            pen.write("first", subject="x", body={})
        connections.close_all()

    def second() -> None:
        inside.wait(5)
        threading.Timer(0.2, release.set).start()
        with deciding_on("s", actor=ACTOR, at=AT) as pen:
            seen.append(pen.length)
            pen.write("second", subject="x", body={})
        connections.close_all()

    threads = [threading.Thread(target=work) for work in (first, second)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert seen == [1]
    assert [d.verb for d in decisions("s")] == ["first", "second"]
