"""Whether a requirement is satisfied: every combination, against the rule written down a second time."""

from itertools import product

import pytest

from coordination.readiness import LinkStanding, assess, is_satisfied, is_shown
from tests.readiness.standings import need, standing, task

COVERS = LinkStanding("frame@pit", "close@pit", "covers")
EVERY = list(
    product(
        ["none", "handed in", "accepted", "refused"],
        [None, True, False],
        [False, True],
        [(), ("contractor",)],
        [None, "electrical"],
        [False, True],
        [None, "coordinator"],
    )
)


def every_requirement():
    for outcome, tolerance, conceded, concede, release, released, accepts in EVERY:
        yield need(
            "frame@pit",
            outcome=outcome,
            in_tolerance=tolerance,
            conceded=conceded,
            concede=concede,
            release=release,
            released=released,
            accepts=accepts,
        )


def test_only_an_authoritys_document_satisfies_what_an_authority_releases():
    assert {is_satisfied(item) == item.released for item in every_requirement() if item.release} == {True}


def test_no_concession_where_nobody_may_grant_one():
    alone = [
        i for i in every_requirement() if not i.release and not i.concede and i.outcome in {"none", "refused"}
    ]
    assert {is_satisfied(item) for item in alone} == {False}


def test_a_reading_out_of_tolerance_needs_a_concession_whatever_the_reviewer_said():
    off = [i for i in every_requirement() if not i.release and i.in_tolerance is False]
    assert all(is_satisfied(item) == (item.conceded and bool(item.concede)) for item in off)


def test_every_combination_against_the_rule_as_a_table():
    for item in every_requirement():
        good = item.in_tolerance is not False
        accepted = item.outcome == "accepted" or (item.outcome == "handed in" and item.accepts is None)
        wanted = (
            item.released if item.release else (item.conceded and item.concede != ()) or (accepted and good)
        )
        assert is_satisfied(item) == wanted, item


def test_what_is_satisfied_is_shown_and_a_refused_one_is_not():
    for item in every_requirement():
        assert is_shown(item) or not is_satisfied(item)
        if item.outcome in {"none", "refused"} and not is_satisfied(item):
            assert not is_shown(item)


@pytest.mark.parametrize(
    ("values", "kind", "owner"),
    [
        ({"accepts": "coordinator"}, "not handed in", "frame company"),
        ({"accepts": "coordinator", "outcome": "handed in"}, "not reviewed", "Northfork Lifts"),
        ({"accepts": "coordinator", "outcome": "refused"}, "refused", "frame company"),
        ({"outcome": "handed in", "in_tolerance": False}, "out of tolerance", "frame company"),
        ({"release": "electrical"}, "authority document missing", "County electrical office"),
        (
            {"release": "electrical", "conceded": True},
            "authority document missing",
            "County electrical office",
        ),
        (
            {"release": "electrical", "accepts": "coordinator", "outcome": "handed in"},
            "not reviewed",
            "Northfork Lifts",
        ),
    ],
)
def test_the_missing_thing_names_who_must_move_next(values, kind, owner):
    item = need("frame@pit", **values)
    offered = assess(
        standing(task("frame@pit", item, begun=True, finished=True), task("close@pit"), links=[COVERS])
    )
    assert [(m.kind, m.subject, m.owner) for m in offered.tasks["close@pit"].start_missing] == [
        (kind, "frame@pit#photo", owner)
    ]
