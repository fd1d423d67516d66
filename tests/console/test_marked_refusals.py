"""A refusal of the demo carries a marked photo; it is put by the reviewer, through the actions alone."""

from types import SimpleNamespace
from typing import Any

import pytest

from coordination.console.demo.hands import Hands
from coordination.console.demo.only_actions import only_actions
from coordination.console.demo.playing import Player
from coordination.console.demo.stories import SCENES
from coordination.console.demo.story import Marking, Refusal, Story
from coordination.evidence.models import FULL, MARK_KINDS, Mark, MarkReason
from coordination.gates.rules import check_rules
from tests.gates.sites import BACKING, Site, build

LEFT = "backing@rail-wall#left"
RING = Marking("ring", ((5900, 2600), (7100, 4200)), "the joint cannot be seen")


@pytest.fixture
def site(db: Any) -> Site:
    site = build()
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    site.read("backing@rail-wall#spread", "framer", '30"')
    site.offer(BACKING.key, "framer")
    return site


def test_the_reviewer_marks_the_photo_and_refuses_by_the_mark(site: Site) -> None:
    troupe = SimpleNamespace(project=site.project, as_role=lambda role, _now: site.who(role))
    story = Story(refusals=(Refusal(LEFT, ("No tape in the picture.",), (RING,)),))
    player = Player(troupe, story, lambda _done, _of: None, Hands(site.project))  # type: ignore[arg-type]
    player.now = site.step()
    with only_actions():
        player._answer()
    [mark], [reason] = Mark.objects.all(), MarkReason.objects.select_related("review")
    assert (mark.kind, mark.points, mark.words, mark.by_name) == ("ring", RING.points, RING.words, "Ana Ruiz")
    assert (reason.mark, reason.review.reasons) == (
        mark,
        ["Mark 1: the joint cannot be seen", "No tape in the picture."],
    )
    assert check_rules(site.project, player.now) == []


def test_the_marks_of_the_stories_can_be_put() -> None:
    marks = [mark for scene in SCENES for refusal in scene.story.refusals for mark in refusal.marks]
    assert len({mark.words for mark in marks}) == len(marks) > 0
    for mark in marks:
        assert mark.kind in MARK_KINDS
        assert all(0 <= part <= FULL for point in mark.points for part in point)
        assert mark.points[0] != mark.points[1]
