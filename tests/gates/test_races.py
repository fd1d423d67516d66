"""Two people at once, on two real connections of both databases: one comes after the other, and reads what it did.

A barrier lets both into their verbs together; for the pairs that matter the first one is held inside its deciding
block, between guard and write, until the second has knocked.
"""

import threading
import uuid
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from django.db import connections

from coordination.access import deciding as block
from coordination.evidence.actions import hand_in
from coordination.evidence.items import HandIn
from coordination.evidence.models import Evidence, Review
from coordination.gates import actions
from coordination.gates.models import Answer, Clearing, Concession, Offer, Signature, Voice
from coordination.gates.refusals import GateNotReady, TaskHeld
from coordination.gates.rules import check_rules
from coordination.record.actions import Pen
from coordination.record.models import Event
from coordination.record.verification import Verified, verify_stream
from tests.gates.sites import BACKING, BOARD, JOB, RAILS, ROUGH, SWEEP, Site, build, with_requirement
from tests.gates.test_changes import TIGHTER

LEFT, SPREAD = "backing@rail-wall#left", "backing@rail-wall#spread"
Verb = Callable[[], Any]


@pytest.fixture
def site(real_database: str) -> Site:
    return build()


def together(*verbs: Verb) -> list[Any]:
    """What each verb gave or raised, all begun at the same moment, each on a connection of its own."""
    barrier, answers = threading.Barrier(len(verbs)), [None] * len(verbs)

    def run(place: int, verb: Verb) -> None:
        try:
            barrier.wait(10)
            answers[place] = verb()
        except Exception as raised:
            answers[place] = raised
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run, args=each) for each in enumerate(verbs)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert not any(thread.is_alive() for thread in threads)
    return answers


def one_inside(monkeypatch: pytest.MonkeyPatch, first: Verb, second: Verb) -> list[Any]:
    """``first`` has passed its guards and is about to write when ``second`` knocks at the lock."""
    inside, knocking = threading.Event(), threading.Event()
    write, decide = Pen.write, block.deciding_on
    names: list[str] = []

    def slow_write(pen: Pen, *given: Any, **named: Any) -> Event:
        if threading.current_thread().name == "first" and not inside.is_set():
            inside.set()
            knocking.wait(10)
        return write(pen, *given, **named)

    def watched(*given: Any, **named: Any) -> Any:
        if threading.current_thread().name == "second":
            names.append("second")
            threading.Timer(0.3, knocking.set).start()
        return decide(*given, **named)

    monkeypatch.setattr(Pen, "write", slow_write)
    monkeypatch.setattr(block, "deciding_on", watched)

    def after_first() -> Any:
        threading.current_thread().name = "second"
        inside.wait(10)
        return second()

    def in_front() -> Any:
        threading.current_thread().name = "first"
        return first()

    answers = together(in_front, after_first)
    assert names == ["second"], "the second never came to the lock: the race was none"
    return answers


def verbs_of(site: Site) -> list[str]:
    return list(
        Event.objects.filter(stream=site.project.stream).order_by("seq").values_list("verb", flat=True)
    )


def holds(site: Site) -> bool:
    return (
        isinstance(verify_stream(site.project.stream), Verified) and check_rules(site.project, site.at) == []
    )


def test_clear_first_then_withdraw_reopens(site, monkeypatch):
    site.signed()
    evidence = Evidence.objects.get(requirement__key="left")
    contractor, framer, gate = site.who("contractor"), site.who("framer"), site.gate("close-in").uid
    cleared, withdrawn = one_inside(
        monkeypatch,
        lambda: actions.clear_gate(site.project, contractor, site.at, gate),
        lambda: actions.withdraw_evidence(site.project, framer, site.at, evidence.uid, "wrong wall"),
    )
    assert (type(cleared), type(withdrawn)) == (Clearing, Evidence)
    assert site.clearing("close-in").reopened_at == site.at
    assert verbs_of(site)[-2:] == ["gate cleared", "evidence withdrawn"]
    assert holds(site)


def test_withdraw_first_then_nothing_is_cleared(site, monkeypatch):
    site.signed()
    evidence = Evidence.objects.get(requirement__key="left")
    contractor, framer, gate = site.who("contractor"), site.who("framer"), site.gate("close-in").uid
    _withdrawn, cleared = one_inside(
        monkeypatch,
        lambda: actions.withdraw_evidence(site.project, framer, site.at, evidence.uid, "wrong wall"),
        lambda: actions.clear_gate(site.project, contractor, site.at, gate),
    )
    assert isinstance(cleared, GateNotReady)
    assert [m.kind for m in cleared.missing][:2] == ["not finished", "not handed in"]
    assert (Clearing.objects.count(), holds(site)) == (0, True)


def half_accepted(site: Site) -> None:
    """Everything but the review of one photo stands, with the gate out of the way."""
    site.accept(_without_gate())
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    offer = site.offer(BACKING.key, "framer")
    site.review(SPREAD, "coordinator")
    site.answer(offer, RAILS.key, "crew")


def _without_gate():
    links = tuple(link for link in JOB.links if link.before != "close-in@site")
    return replace(JOB, links=links)


def test_refuse_first_then_the_covering_work_does_not_begin(site, monkeypatch):
    half_accepted(site)
    contractor, drywaller = site.who("contractor"), site.who("other electrician")
    need, board = site.need(LEFT).uid, site.task(BOARD.key).uid
    _refused, started = one_inside(
        monkeypatch,
        lambda: actions.review_requirement(
            site.project, contractor, site.at, need, "refused", reasons=["dark"]
        ),
        lambda: actions.start_task(site.project, drywaller, site.at, board),
    )
    assert isinstance(started, TaskHeld)
    assert (site.task(BOARD.key).begun_on, holds(site)) == (None, True)


def test_begin_first_then_a_taken_back_acceptance_names_who_works_over_it(site, monkeypatch):
    half_accepted(site)
    site.review(LEFT, "contractor")
    contractor, drywaller = site.who("contractor"), site.who("other electrician")
    need, board = site.need(LEFT).uid, site.task(BOARD.key).uid
    started, _taken = one_inside(
        monkeypatch,
        lambda: actions.start_task(site.project, drywaller, site.at, board),
        lambda: actions.take_back_acceptance(site.project, contractor, site.at, need, ["a stud is missing"]),
    )
    assert started.begun_on == site.task(BOARD.key).begun_on
    body = Event.objects.filter(stream=site.project.stream).latest("seq").body
    assert '"company":"Cold Spring Electric","phone":"555-0121","task":"board@rail-wall"' in body
    assert holds(site)


def test_accept_a_change_first_then_nothing_is_cleared(site, monkeypatch):
    site.signed()
    change = site.lay(with_requirement(JOB, BACKING.key, TIGHTER))
    coordinator, contractor, gate = site.who("coordinator"), site.who("contractor"), site.gate("close-in").uid
    accepted, cleared = one_inside(
        monkeypatch,
        lambda: actions.accept_change(site.project, coordinator, site.at, change.uid),
        lambda: actions.clear_gate(site.project, contractor, site.at, gate),
    )
    assert accepted.number == 2
    assert isinstance(cleared, GateNotReady)
    assert "not handed in" in [m.kind for m in cleared.missing]
    assert holds(site)


def test_the_double_press_of_every_verb_is_one_decision(site):
    """Each verb is pressed twice at the same moment, all the way through the job."""
    crew, contractor, coordinator = site.who("crew"), site.who("contractor"), site.who("coordinator")
    framer, electrician, project = site.who("framer"), site.who("electrician"), site.project

    def pressed(verb: Verb, rows: Callable[[], int], more: int) -> Any:
        before, length = rows(), Event.objects.filter(stream=project.stream).count()
        site.step()
        answers = together(verb, verb)
        assert not [answer for answer in answers if isinstance(answer, Exception)]
        assert rows() - before == more
        assert Event.objects.filter(stream=project.stream).count() - length == 1
        return answers[0]

    def none() -> int:
        return 0

    task, need = (lambda key: site.task(key).uid), (lambda key: site.need(key).uid)
    pressed(lambda: actions.start_task(project, framer, site.at, task(BACKING.key)), none, 0)
    photo = site.photo
    item = HandIn(uuid.uuid4(), typed='32"')
    pressed(lambda: hand_in(project, framer, site.at, need(SPREAD), item), Evidence.objects.count, 1)
    photo(LEFT, "framer")
    pressed(
        lambda: actions.review_requirement(project, contractor, site.at, need(LEFT), "accepted"),
        Review.objects.count,
        1,
    )

    def concede(who: Any) -> Verb:
        return lambda: actions.grant_concession(
            project, who, site.at, need(SPREAD), kind="concession", reason="shim", scope="left"
        )

    pressed(concede(coordinator), Voice.objects.count, 1)
    pressed(concede(contractor), Voice.objects.count, 1)
    assert Concession.objects.count() == 1
    offer = pressed(
        lambda: actions.offer_task(project, framer, site.at, task(BACKING.key)), Offer.objects.count, 1
    )
    pressed(
        lambda: actions.answer_handoff(
            project, crew, site.at, offer.uid, task(RAILS.key), outcome="accepted"
        ),
        Answer.objects.count,
        1,
    )
    pressed(lambda: actions.start_task(project, electrician, site.at, task(ROUGH.key)), none, 0)
    photo("rough@pit#receptacle", "electrician")
    site.document("rough@pit#inspection", "contractor")
    site.settle()
    gate = site.gate("close-in").uid
    for who in (contractor, crew):
        pressed(
            lambda who=who: actions.sign_gate(project, who, site.at, gate, statement="ready"),
            Signature.objects.count,
            1,
        )
    pressed(lambda: actions.clear_gate(project, contractor, site.at, gate), Clearing.objects.count, 1)
    pressed(lambda: actions.start_task(project, contractor, site.at, task(SWEEP.key)), none, 0)
    pressed(lambda: actions.offer_task(project, contractor, site.at, task(SWEEP.key)), none, 0)
    left = Evidence.objects.get(requirement__key="left").uid
    pressed(lambda: actions.withdraw_evidence(project, framer, site.at, left, "wrong"), none, 0)
    change = site.lay(with_requirement(JOB, BACKING.key, TIGHTER)).uid
    pressed(lambda: actions.accept_change(project, coordinator, site.at, change), none, 0)
    granted = Concession.objects.get().uid
    pressed(lambda: actions.end_concession(project, coordinator, site.at, granted, "came"), none, 0)
    assert holds(site)
