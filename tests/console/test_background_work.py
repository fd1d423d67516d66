"""What only time brings about is found from state, and looked for seldom."""

from datetime import UTC, datetime, timedelta

from coordination.access.attempts import WRONG_TOKENS, count_attempt
from coordination.access.models import Attempts
from coordination.background.running import run_until_idle
from coordination.console.background_work import WORKS, Seldom
from tests.gates.sites import build


def test_looking_is_seldom_and_never_before_the_pause_is_over():
    looked = []

    def find(now):
        looked.append(now)
        return ["a"]

    at = datetime(2026, 3, 2, 9, tzinfo=UTC)
    seldom = Seldom(find, timedelta(minutes=10))
    answers = [list(seldom(at + timedelta(minutes=minute))) for minute in (0, 1, 9, 10, 11)]
    assert answers == [["a"], [], [], ["a"], []]
    assert looked == [at, at + timedelta(minutes=10)]


def test_counters_of_attempts_are_let_go_a_day_later(db, monkeypatch):
    at = datetime(2026, 3, 2, 9, tzinfo=UTC)
    count_attempt(WRONG_TOKENS, "192.0.2.7", at - timedelta(days=2))
    count_attempt(WRONG_TOKENS, "192.0.2.8", at - timedelta(hours=2))
    monkeypatch.setattr("django.utils.timezone.now", lambda: at)
    [work] = [work for work in WORKS if work.kind == "attempts"]
    monkeypatch.setattr(work.find, "_looked", None)
    assert [(one.key, one.error) for one in run_until_idle([work], at, children=False)] == [("attempts", "")]
    assert [counter.since for counter in Attempts.objects.all()] == [at - timedelta(hours=2)]


def test_a_gate_whose_fact_moved_reopens_without_anybody_pressing_a_button(db, monkeypatch):
    site = build()
    site.signed()
    site.clear("close-in")
    site.state("pit.sump", True)
    at = site.step()
    monkeypatch.setattr("django.utils.timezone.now", lambda: at)
    [work] = [work for work in WORKS if work.kind == "following"]
    monkeypatch.setattr(work.find, "_looked", None)
    tried = run_until_idle([work], at, children=False)
    assert [(one.kind, one.key, one.error) for one in tried] == [("following", str(site.project.uid), "")]
    assert site.clearing("close-in").reopened_at == at
