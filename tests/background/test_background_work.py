"""Found from state, leased, done, tried again, given up."""

import logging
import threading
from datetime import UTC, datetime, timedelta

import pytest
from django.db import IntegrityError, connection, transaction

from coordination.background import doing, leasing
from coordination.background.leasing import LEASE, REST, hold, take, try_again
from coordination.background.models import Lease
from coordination.background.queries import failing, given_up
from coordination.background.running import Tried, run_forever, run_once, run_until_idle
from coordination.background.work import Work
from tests.background import chores
from tests.background.chores import chore

NOW = datetime(2026, 3, 9, 14, 0, tzinfo=UTC)
SECOND = timedelta(seconds=1)
in_transaction = pytest.mark.django_db


@pytest.fixture
def folder(tmp_path, monkeypatch):
    chores.lay_out(tmp_path / "chores", "a", "b")
    monkeypatch.setenv("CHORES", str(tmp_path / "chores"))
    return tmp_path / "chores"


@pytest.fixture(autouse=True)
def _warnings_stay_in_the_log(caplog):
    caplog.set_level(logging.ERROR, "coordination.background.running")


def done_here(works: list[Work], now: datetime) -> list[Tried]:
    return run_until_idle(works, now, children=False)


def rows() -> list[tuple[str, int, str]]:
    return list(Lease.objects.order_by("key").values_list("key", "attempts", "error"))


@in_transaction
def test_what_the_state_asks_for_is_done_and_leaves_no_row(folder):
    done = done_here([chore(chores.alone)], NOW)
    assert done == [Tried("alone", "a", ""), Tried("alone", "b", "")]
    assert chores.logged(folder) == ["begin a", "end a", "begin b", "end b"]
    assert rows() == []
    assert done_here([chore(chores.alone)], NOW) == []


@in_transaction
def test_done_again_when_the_state_asks_again(folder):
    done_here([chore(chores.alone)], NOW)
    (folder / "done" / "a").unlink()
    assert done_here([chore(chores.alone)], NOW) == [Tried("alone", "a", "")]


@in_transaction
def test_one_work_may_make_work_for_another(folder):
    def more(key):
        chores.finish(key)
        (folder / "todo" / "c").touch()

    second = Work("second", lambda now: [k for k in chores.find(now) if k == "c"], chores.finish)
    first = Work("first", lambda now: [k for k in chores.find(now) if k != "c"], more)
    assert [tried.key for tried in done_here([second, first], NOW)] == ["a", "b", "c"]


@in_transaction
def test_a_failure_is_kept_waits_longer_each_time_and_is_given_up(folder):
    work, now, waited = chore(chores.fails, attempts=4), NOW, []
    (folder / "todo" / "b").unlink()
    for attempt in range(1, 5):
        assert done_here([work], now) == [Tried("fails", "a", "ValueError: no a today")]
        assert rows() == [("a", attempt, "ValueError: no a today")]
        lease = Lease.objects.get()
        assert done_here([work], now) == []
        if lease.due:
            waited.append(round((lease.due - now).total_seconds()))
            assert list(failing()) == [lease]
            now = lease.due
    assert waited == [5, 10, 20]
    assert list(given_up()) == [lease]
    assert done_here([work], now + timedelta(days=30)) == []
    assert chores.logged(folder) == ["begin a"] * 4


@in_transaction
def test_the_longest_pause_is_ten_minutes():
    lease = take("x", "a", NOW, 50)
    Lease.objects.update(attempts=40)
    lease.attempts = 40
    leasing.fail(lease, NOW, 50, "no")
    assert Lease.objects.get().due == NOW + timedelta(minutes=10)


@in_transaction
def test_one_failure_does_not_hold_up_the_rest(folder):
    def first_fails(key):
        if key == "a":
            raise ValueError
        chores.finish(key)

    assert done_here([Work("x", chores.find, first_fails)], NOW) == [
        Tried("x", "a", "ValueError: "),
        Tried("x", "b", ""),
    ]


@in_transaction
def test_what_was_given_up_can_be_asked_for_again(folder):
    (folder / "todo" / "b").unlink()
    work = chore(chores.fails, attempts=1)
    done_here([work], NOW)
    lease = given_up().get()
    assert (try_again(lease, NOW), try_again(lease, NOW)) == (True, False)
    assert done_here([work], NOW) == [Tried("fails", "a", "ValueError: no a today")]


@in_transaction
def test_a_failure_whose_work_is_no_longer_needed_is_forgotten(folder):
    done_here([chore(chores.fails, attempts=1)], NOW)
    assert given_up().count() == 2
    chores.finish("a")
    done_here([chore(chores.fails, attempts=1)], NOW)
    assert list(given_up().values_list("key", flat=True)) == ["b"]


@in_transaction
def test_work_that_changes_nothing_does_not_run_hot(folder):
    work = chore(chores.never_settles)
    assert len(done_here([work], NOW)) == 2
    assert run_once([work], NOW + SECOND, children=False) == []
    assert len(run_once([work], NOW + REST + SECOND, children=False)) == 2


@in_transaction
def test_a_lease_keeps_others_off_until_it_runs_out():
    mine = take("x", "a", NOW, 5)
    assert (mine.attempts, mine.until) == (1, NOW + LEASE)
    assert take("x", "a", NOW + LEASE - SECOND, 5) is None
    assert take("y", "a", NOW, 5) is not None
    theirs = take("x", "a", NOW + LEASE, 5)
    assert (theirs.pk, theirs.attempts) == (mine.pk, 2)


@in_transaction
def test_a_heart_beat_keeps_it_longer():
    mine = take("x", "a", NOW, 5)
    assert hold(mine, NOW + 20 * SECOND)
    assert take("x", "a", NOW + LEASE + SECOND, 5) is None


@in_transaction
@pytest.mark.parametrize("finish", ["settle", "fail", "hold", "let_go"])
def test_who_lost_the_lease_changes_nothing(finish):
    mine = take("x", "a", NOW, 5)
    take("x", "a", NOW + LEASE, 5)
    before = list(Lease.objects.values())
    later = NOW + LEASE + SECOND
    {
        "settle": lambda: leasing.settle(mine, later),
        "fail": lambda: leasing.fail(mine, later, 5, "no"),
        "hold": lambda: hold(mine, later),
        "let_go": lambda: leasing.let_go(mine, later),
    }[finish]()
    assert list(Lease.objects.values()) == before


@in_transaction
def test_a_late_worker_is_not_mistaken_for_a_later_one():
    """After a success the count of attempts begins again; the time in the lease still tells the two apart."""
    late = take("x", "a", NOW, 5)
    leasing.settle(take("x", "a", NOW + LEASE, 5), NOW + LEASE)
    current = take("x", "a", NOW + LEASE + REST, 5)
    assert late.attempts == current.attempts == 1
    leasing.settle(late, NOW + LEASE + REST)
    assert Lease.objects.get().until == current.until


@in_transaction
def test_workers_that_vanish_every_time_are_given_up_too():
    for attempt in range(3):
        assert take("x", "a", NOW + attempt * LEASE, 3)
    assert take("x", "a", NOW + 3 * LEASE, 3) is None
    assert given_up().get().error == leasing.KILLED


@in_transaction
def test_a_worker_asked_to_stop_lets_go_at_once(folder):
    def interrupted(key):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run_once([Work("x", chores.find, interrupted)], NOW, children=False)
    assert rows() == [("a", 0, "")]
    assert take("x", "a", NOW + SECOND, 5) is not None


@in_transaction
def test_the_database_itself_refuses_a_work_given_up_without_a_reason():
    with pytest.raises(IntegrityError), transaction.atomic():
        Lease.objects.create(kind="x", key="a", due=None)


def test_child_work_must_be_found_by_its_name():
    with pytest.raises(ValueError, match="top of a module"):
        run_until_idle([Work("x", chores.find, lambda key: None)], NOW)


def test_no_transaction_is_open_while_working(real_database, folder):
    work = chore(chores.tells_database)
    done_here([work], NOW)
    assert chores.logged(folder) == [f"database {connection.vendor} False"] * 2


def test_a_long_piece_of_work_here_keeps_its_lease(real_database, folder, monkeypatch):
    monkeypatch.setattr(leasing, "LEASE", 0.6 * SECOND)
    monkeypatch.setattr(doing, "BEAT", 0.1)
    taken = []

    def long(key):
        threading.Event().wait(1.5)
        taken.append(take("x", key, datetime.now(UTC), 5))
        chores.finish(key)

    run_once([Work("x", lambda now: ["a"], long)], datetime.now(UTC), children=False)
    assert taken == [None]


def test_the_loop_stops_when_asked_and_survives_a_broken_find(real_database, folder, caplog, wait_until):
    def broken(now):
        raise RuntimeError("cannot look")

    stop = threading.Event()

    def loop():
        run_forever(
            [Work("broken", broken, chores.finish), chore(chores.alone)], stop, pause=0.05, children=False
        )
        connection.close()

    thread = threading.Thread(target=loop)
    thread.start()
    wait_until(lambda: chores.logged(folder)[-1:] == ["end b"])
    stop.set()
    thread.join(10)
    assert not thread.is_alive()
    assert "Looking for work of the kind broken failed." in caplog.text
