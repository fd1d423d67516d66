"""The small job from the first day to the last gate."""

from coordination.gates.queries import assessment
from tests.gates.sites import BOARD, RAILS, ROUGH


def test_the_job_can_be_done(site):
    site.signed()
    clearing = site.clear("close-in")
    assert (clearing.round, clearing.reopened_at) == (1, None)
    site.start(BOARD.key, "other electrician")
    assert site.offer(BOARD.key, "other electrician") is None
    site.start(RAILS.key, "crew")
    site.offer(RAILS.key, "crew")
    site.offer(ROUGH.key, "electrician")
    site.clear("handover")
    found = assessment(site.project, site.at)
    assert {key: task.state for key, task in found.tasks.items()} == {
        "backing@rail-wall": "accepted",
        "board@rail-wall": "done",
        "close-in@site": "done",
        "handover@site": "done",
        "rails@hoistway": "done",
        "rough@pit": "accepted",
        "sweep@pit": "ready",
    }
