"""No sequence of actions clears a gate over an unmet condition, or begins work over what is not accepted."""

from contextlib import suppress
from dataclasses import replace
from itertools import count
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coordination.access.permissions import NotAllowed
from coordination.access.refusals import Refusal
from coordination.evidence.models import Evidence
from coordination.gates.models import Offer
from coordination.gates.queries import look_at
from coordination.gates.rules import check_rules
from coordination.readiness import assess
from tests.gates.sites import BACKING, BOARD, JOB, RAILS, ROUGH, TEXTED, Site, build, with_requirement
from tests.gates.test_changes import TIGHTER


def _newest(site: Site) -> Offer:
    return Offer.objects.filter(task__project=site.project).latest("round")


def _evidence(site: Site) -> Evidence:
    rows = Evidence.objects.filter(requirement__task__project=site.project, withdrawn_at=None)
    return rows.latest("pk")


LEFT, SPREAD, PAPER = "backing@rail-wall#left", "backing@rail-wall#spread", "rough@pit#inspection"
WAYS = {
    "start backing": lambda s: s.start(BACKING.key, "framer"),
    "start rough": lambda s: s.start(ROUGH.key, "electrician"),
    "start rails": lambda s: s.start(RAILS.key, "crew"),
    "start board": lambda s: s.start(BOARD.key, "other electrician"),
    "photo": lambda s: s.photo(LEFT, "framer"),
    "good reading": lambda s: s.read(SPREAD, "framer", '30"'),
    "bad reading": lambda s: s.read(SPREAD, "contractor", '33"', for_other=TEXTED),
    "paper": lambda s: s.document(PAPER, "contractor"),
    "paper without number": lambda s: s.document(PAPER, "contractor", number=""),
    "accept photo": lambda s: s.review(LEFT, "contractor"),
    "refuse photo": lambda s: s.review(LEFT, "coordinator", "refused", "dark"),
    "accept reading": lambda s: s.review(SPREAD, "coordinator"),
    "accept own reading": lambda s: s.review(SPREAD, "contractor"),
    "offer": lambda s: s.offer(BACKING.key, "framer"),
    "answer": lambda s: s.answer(_newest(s), RAILS.key, "crew"),
    "rails take over": lambda s: s.start(RAILS.key, "crew", taking_over=[_newest(s).uid]),
    "board takes over": lambda s: s.start(BOARD.key, "other electrician", taking_over=[_newest(s).uid]),
    "stand in": lambda s: s.stand_in(_newest(s), RAILS.key),
    "days pass": lambda s: s.step(days=3),
    "refuse handoff": lambda s: s.answer(_newest(s), RAILS.key, "crew", "refused", "no"),
    "concede": lambda s: s.concede(SPREAD, "coordinator"),
    "agree": lambda s: s.concede(SPREAD, "contractor"),
    "concede paper": lambda s: s.concede(PAPER, "coordinator"),
    "know": lambda s: s.settle(),
    "assume": lambda s: s.state("pit.sump", False, state="assumed"),
    "sign": lambda s: s.sign("close-in", "contractor"),
    "crew signs": lambda s: s.sign("close-in", "crew"),
    "clear": lambda s: s.clear("close-in"),
    "clear last": lambda s: s.clear("handover"),
    "withdraw": lambda s: s.withdraw(_evidence(s), "contractor"),
    "tighten": lambda s: s.accept(with_requirement(JOB, BACKING.key, TIGHTER)),
    "lay": lambda s: s.lay(with_requirement(JOB, BACKING.key, TIGHTER)),
}
RUNS = count()
GOOD_WAY = (
    "start backing", "photo", "good reading", "offer", "accept photo", "accept reading", "answer", "start rough",
    "paper", "know", "sign", "crew signs", "clear", "start board", "clear last",
)  # fmt: skip


def press(site: Site, way: str) -> None:
    """What a person may try at any time; a refusal changes nothing."""
    nothing_there = (Offer.DoesNotExist, Evidence.DoesNotExist, AssertionError)
    with suppress(Refusal, NotAllowed, *nothing_there):
        WAYS[way](site)


def test_the_good_way_leads_to_both_gates(site):
    for way in GOOD_WAY:
        press(site, way)
    assert [site.clearing(key).reopened_at for key in ("close-in", "handover")] == [None, None]


@settings(
    max_examples=12,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(st.integers(0, len(GOOD_WAY)), st.lists(st.sampled_from(sorted(WAYS)), min_size=4, max_size=14))
def test_whatever_is_pressed_in_whatever_order_no_rule_is_broken(db: Any, good: int, pressed: list[str]):
    site = build(f"{next(RUNS)}-")
    for way in [*GOOD_WAY[:good], *pressed]:
        press(site, way)
    assert check_rules(site.project, site.at) == []
    scene = look_at(site.project, site.at)
    for key, gate in scene.holding.gate_by_key.items():
        if scene.holding.standing_clearing(gate) and scene.holding.plan_settled:
            _conditions_hold(scene, key)


def _conditions_hold(scene: Any, key: str) -> None:
    """Judged once more without the clearing: only signatures may be missing of a gate that stands."""
    gates = tuple(replace(g, cleared=g.cleared and g.key != key) for g in scene.standing.gates)
    assert assess(replace(scene.standing, gates=gates)).gates[key].unsigned == ()
