"""The word for each task and each place."""

from dataclasses import replace

import pytest

from coordination.readiness import LinkStanding, assess
from tests.readiness.standings import done, need, standing, task

WAITS = LinkStanding("z@site", "a@pit", "FS")


@pytest.mark.parametrize(
    ("work", "state"),
    [
        (task("a@pit"), "ready"),
        (task("a@pit", begun=True), "at work"),
        (task("a@pit", need("a@pit"), begun=True), "at work"),
        (task("a@pit", need("a@pit", accepts="contractor", outcome="refused"), begun=True), "refused"),
        (
            task(
                "a@pit", need("a@pit", accepts="contractor", outcome="handed in"), begun=True, finished=True
            ),
            "offered",
        ),
        (
            task("a@pit", need("a@pit", accepts="contractor", outcome="accepted"), begun=True, finished=True),
            "accepted",
        ),
        (done("a@pit"), "done"),
    ],
)
def test_a_task_has_one_word(work, state):
    assert assess(standing(work)).tasks["a@pit"].state == state


def test_a_task_that_waits_is_held():
    assert assess(standing(task("z@site"), task("a@pit"), links=[WAITS])).tasks["a@pit"].state == "held"


def test_begun_work_whose_evidence_was_refused_comes_back_until_new_evidence_is_handed_in():
    again = task("a@pit", need("a@pit", accepts="contractor", outcome="handed in"), begun=True)
    found = assess(standing(again)).tasks["a@pit"]
    assert (found.state, found.may_offer) == ("at work", True)


@pytest.mark.parametrize(
    ("states", "word"),
    [
        (["done", "accepted"], "accepted"),
        (["accepted", "at work"], "at work"),
        (["at work", "ready"], "ready"),
        (["ready", "offered"], "offered"),
        (["offered", "held"], "held"),
        (["held", "refused"], "refused"),
        (["done"], "done"),
    ],
)
def test_a_place_shows_its_worst_state(states, word):
    made = {
        "done": done,
        "accepted": lambda key: replace(
            done(key), requirements=(need(key, accepts="contractor", outcome="accepted"),)
        ),
        "at work": lambda key: task(key, begun=True),
        "ready": task,
        "offered": lambda key: task(
            key, need(key, accepts="contractor", outcome="handed in"), begun=True, finished=True
        ),
        "held": task,
        "refused": lambda key: task(key, need(key, accepts="contractor", outcome="refused"), begun=True),
    }
    tasks = [made[state](f"t{index}@pit") for index, state in enumerate(states)]
    links = [LinkStanding("z@site", f"t{i}@pit", "FS") for i, state in enumerate(states) if state == "held"]
    assert assess(standing(task("z@site"), *tasks, links=links)).places["pit"] == word


def test_work_that_waits_its_turn_at_the_same_place_does_not_colour_it():
    tasks = [task("a@pit", begun=True), task("b@pit"), task("c@pit")]
    links = [LinkStanding("a@pit", "b@pit", "FS"), LinkStanding("b@pit", "c@pit", "covers")]
    assert assess(standing(*tasks, links=links)).places == {"pit": "at work"}


def test_an_open_question_is_told_beside_the_state():
    found = assess(standing(task("a@pit", provisional=True, question_open=True))).tasks["a@pit"]
    assert (found.state, found.question_open, found.may_start) == ("ready", True, True)
