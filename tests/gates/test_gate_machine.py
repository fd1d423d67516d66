"""Whatever people do in whatever order: a gate that stands cleared has every condition met, or let go by those who may.

An oracle of its own judges it from the bare rows, with none of the program's rules.
"""

from collections.abc import Callable
from contextlib import suppress
from datetime import timedelta
from itertools import count
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test
from hypothesis.strategies import booleans, sampled_from

from coordination.access.permissions import NotAllowed
from coordination.access.refusals import Refusal
from coordination.evidence.models import Evidence, Review
from coordination.gates import actions
from coordination.gates.models import Answer, Clearing, Concession, InspectionItem, Offer, Signature, Voice
from coordination.gates.own_gates import GateWish
from coordination.gates.rules import check_rules
from coordination.projects.models import Condition, FactEntry, Gate, Link, PlanChange, Requirement, Task
from tests.gates.sites import BACKING, BOARD, RAILS, ROUGH, SWEEP, Site, build, with_requirement
from tests.gates.test_changes import TIGHTER
from tests.gates.test_inspecting import BOX, JOB_INSPECTED, inspect

LEFT, SPREAD, CARD = "backing@rail-wall#left", "backing@rail-wall#spread", "rough@pit#inspection"
RUNS = count()
OWN = GateWish(
    "Swept and looked at",
    (BOARD.key,),
    (("task accepted", SWEEP.key), ("requirement satisfied", SPREAD), ("question answered", "pit.sump")),
    ("owner",),
)


class Oracle:
    """Judges the standing clearings of one project from its rows alone."""

    def __init__(self, site: Site) -> None:
        self.site, self.today = site, site.at.date()

    def wrong(self) -> list[str]:
        """Conditions of standing clearings that are neither met nor let go; none while a change of plan waits."""
        if PlanChange.objects.filter(project=self.site.project, state="open").exists():
            return []
        standing = Clearing.objects.filter(gate__task__project=self.site.project, reopened_at=None)
        return [
            f"{row.gate.key}: {each.kind} {each.subject}"
            for row in standing.select_related("gate")
            for each in Condition.objects.filter(gate=row.gate, retired_in=None)
            if not self.met(each, row)
        ]

    def met(self, condition: Condition, row: Clearing) -> bool:
        subject = condition.subject
        if condition.kind == "task accepted":
            return self.accepted(subject)
        if condition.kind in {"requirement satisfied", "document present"}:
            return self.satisfied(self.need(subject))
        if condition.kind == "question answered":
            entry = FactEntry.objects.filter(project=self.site.project, key=subject).order_by("-seq").first()
            return entry is not None and entry.state == "known"
        if condition.kind == "gate cleared":
            return Clearing.objects.filter(
                gate__task__project=self.site.project, gate__key=subject, reopened_at=None
            ).exists()
        if condition.kind == "signature":
            return Signature.objects.filter(
                gate=row.gate, round=row.round, role=subject, digest=row.digest
            ).exists()
        raise AssertionError(condition.kind)

    def need(self, subject: str) -> Requirement:
        task, _, key = subject.partition("#")
        return Requirement.objects.get(task__project=self.site.project, task__key=task, key=key)

    def accepted(self, key: str) -> bool:
        task = Task.objects.get(project=self.site.project, key=key)
        asked = Requirement.objects.filter(task=task, retired_in=None)
        handoffs = Link.objects.filter(before=task, handoff=True, retired_in=None)
        return (
            task.retired_in is None
            and task.finished_on is not None
            and all(self.satisfied(each) for each in asked)
            and all(self.taken_over(each) for each in handoffs)
        )

    def taken_over(self, link: Link) -> bool:
        offer = Offer.objects.filter(task_id=link.before_id).order_by("-round").first()
        answer = Answer.objects.filter(offer=offer, link=link).order_by("-pk").first() if offer else None
        return (
            offer is not None
            and offer.ended_at is None
            and answer is not None
            and answer.outcome == "accepted"
        )

    def satisfied(self, need: Requirement) -> bool:
        shown = list(
            Evidence.objects.filter(requirement=need, withdrawn_at=None, terms_sha=need.terms_sha).order_by(
                "pk"
            )
        )
        if need.release:
            return bool(shown) and shown[-1].result != "failed" and bool(shown[-1].number and shown[-1].blob)
        if self.let_go(need):
            return True
        if not shown:
            return False
        last = [self.word(each) for each in shown]
        good = all(last) and last[-1] == "accepted" if need.accepts else True
        newest = [each.in_tolerance for each in shown if each.in_tolerance is not None]
        return good and (not newest or newest[-1])

    def word(self, evidence: Evidence) -> str:
        review = Review.objects.filter(evidence=evidence).order_by("-pk").first()
        return review.outcome if review else ""

    def let_go(self, need: Requirement) -> bool:
        for row in Concession.objects.filter(requirement=need, ended_at=None, terms_sha=need.terms_sha):
            spoken = set(Voice.objects.filter(concession=row).values_list("role", flat=True))
            people = Voice.objects.filter(concession=row).values("spoken_by").distinct().count()
            in_time = row.expires_on is None or row.expires_on >= self.today
            if need.concede and set(need.concede) <= spoken and people == len(spoken) and in_time:
                return True
        return False


class Work(RuleBasedStateMachine):
    """The small job with an inspection, and a gate of its own; people press whatever they like."""

    site: Site

    @initialize(far=booleans())
    def begin(self, far: bool) -> None:
        self.site = site = build(f"machine-{next(RUNS)}-", JOB_INSPECTED)
        site.state("pit.sump", None, "unknown")
        self.own = actions.add_gate(site.project, site.who("contractor"), site.step(), OWN)
        if far:
            for way in (site.ready, self._sign_all, self._clear_all):
                way()

    def press(self, way: Callable[[], Any]) -> None:
        nothing_there = (Offer.DoesNotExist, Evidence.DoesNotExist, Concession.DoesNotExist, AssertionError)
        with suppress(Refusal, NotAllowed, *nothing_there):
            way()

    @rule(what=sampled_from([BACKING.key, ROUGH.key, SWEEP.key, RAILS.key, BOARD.key]))
    def start(self, what: str) -> None:
        self.press(
            lambda: (
                self.site.start(what, "contractor", for_other=None)
                if what == SWEEP.key
                else self._start(what)
            )
        )

    def _start(self, what: str) -> None:
        doer = {BACKING.key: "framer", ROUGH.key: "electrician", RAILS.key: "crew"}
        self.site.start(what, doer.get(what, "other electrician"))

    @rule(typed=sampled_from(['30"', '32"']))
    def read(self, typed: str) -> None:
        self.press(lambda: self.site.read(SPREAD, "framer", typed))

    @rule()
    def photo(self) -> None:
        self.press(lambda: self.site.photo(LEFT, "framer"))

    @rule(result=sampled_from(["passed", "passed with corrections", "failed"]))
    def attach(self, result: str) -> None:
        self.press(lambda: inspect(self.site, result, *([] if result == "passed" else [BOX])))

    @rule()
    def put_right(self) -> None:
        for item in InspectionItem.objects.filter(task__project=self.site.project).select_related("task"):
            key = item.task.key
            self.press(lambda key=key: self.site.start(key, "electrician"))
            self.press(lambda key=key: self.site.photo(f"{key}#done", "electrician"))
            self.press(lambda key=key: self.site.offer(key, "electrician"))
            self.press(lambda key=key: self.site.review(f"{key}#done", "coordinator"))

    @rule(who=sampled_from(["framer", "contractor"]), what=sampled_from([BACKING.key, SWEEP.key]))
    def offer(self, who: str, what: str) -> None:
        self.press(lambda: self.site.offer(what, who))

    @rule(need=sampled_from([LEFT, SPREAD]), outcome=sampled_from(["accepted", "refused"]))
    def review(self, need: str, outcome: str) -> None:
        reasons = () if outcome == "accepted" else ("dark",)
        who = "contractor" if need == LEFT else "coordinator"
        self.press(lambda: self.site.review(need, who, outcome, *reasons))

    @rule(outcome=sampled_from(["accepted", "refused"]))
    def answer(self, outcome: str) -> None:
        def way() -> None:
            offer = Offer.objects.filter(task__project=self.site.project, task__key=BACKING.key).latest(
                "round"
            )
            self.site.answer(offer, RAILS.key, "crew", outcome, *(["no"] if outcome == "refused" else []))

        self.press(way)

    @rule(which=sampled_from([LEFT, SPREAD, CARD]))
    def withdraw(self, which: str) -> None:
        def way() -> None:
            rows = Evidence.objects.filter(requirement=self.site.need(which), withdrawn_at=None)
            self.site.withdraw(rows.latest("pk"), "contractor")

        self.press(way)

    @rule(who=sampled_from(["coordinator", "contractor", "owner"]), need=sampled_from([SPREAD, CARD, LEFT]))
    def concede(self, who: str, need: str) -> None:
        until = self.site.at.date() + timedelta(days=2)
        self.press(lambda: self.site.concede(need, who, kind="", expires_on=until))

    @rule()
    def end_concession(self) -> None:
        def way() -> None:
            row = Concession.objects.filter(
                requirement__task__project=self.site.project, ended_at=None
            ).latest("pk")
            actions.end_concession(
                self.site.project, self.site.who("contractor"), self.site.step(), row.uid, "came"
            )

        self.press(way)

    @rule(days=sampled_from([1, 3]))
    def time_passes(self, days: int) -> None:
        self.site.step(days=days)
        actions.lapse_concessions(self.site.project, self.site.at)
        actions.reopen_moved_gates(self.site.project, self.site.at)

    @rule(state=sampled_from(["known", "assumed"]), value=booleans())
    def state(self, state: str, value: bool) -> None:
        self.site.state("pit.sump", value, state=state)
        actions.reopen_moved_gates(self.site.project, self.site.at)

    @rule()
    def tighten(self) -> None:
        self.press(lambda: self.site.accept(with_requirement(JOB_INSPECTED, BACKING.key, TIGHTER)))

    @rule()
    def plan_as_before(self) -> None:
        self.press(lambda: self.site.accept(JOB_INSPECTED))

    @rule(who=sampled_from(["contractor", "crew", "owner"]), own=booleans())
    def sign(self, who: str, own: bool) -> None:
        self.press(lambda: self.site.sign(self.own.key if own else "close-in", who))

    @rule(
        who=sampled_from(["contractor", "coordinator", "owner"]),
        which=sampled_from(["close-in", "handover", "own"]),
    )
    def clear(self, who: str, which: str) -> None:
        self.press(lambda: self.site.clear(self.own.key if which == "own" else which, who))

    @rule()
    def everything_right(self) -> None:
        """The way on from wherever they are, so that gates do get cleared."""
        for way in (self._back, self._card, self.site.settle, self._sign_all, self._clear_all):
            self.press(way)

    def _back(self) -> None:
        for way in (
            lambda: self.site.start(BACKING.key, "framer"),
            lambda: self.site.photo(LEFT, "framer"),
            lambda: self.site.read(SPREAD, "framer", '30"'),
            lambda: self.site.offer(BACKING.key, "framer"),
            lambda: self.site.review(LEFT, "contractor"),
            lambda: self.site.review(SPREAD, "coordinator"),
            self.answer_newest,
            lambda: self.site.start(SWEEP.key, "contractor"),
            lambda: self.site.offer(SWEEP.key, "contractor"),
        ):
            self.press(way)

    def answer_newest(self) -> None:
        offer = Offer.objects.filter(task__project=self.site.project, task__key=BACKING.key).latest("round")
        self.site.answer(offer, RAILS.key, "crew")

    def _card(self) -> None:
        self.press(lambda: self.site.start(ROUGH.key, "electrician"))
        self.put_right()
        inspect(self.site, "passed")

    def _sign_all(self) -> None:
        for key, who in (("close-in", "contractor"), ("close-in", "crew"), (self.own.key, "owner")):
            self.press(lambda key=key, who=who: self.site.sign(key, who))

    def _clear_all(self) -> None:
        for key in ("close-in", self.own.key, "handover"):
            self.press(lambda key=key: self.site.clear(key, "contractor"))

    @invariant()
    def what_stands_cleared_is_met_or_let_go(self) -> None:
        if hasattr(self, "site"):
            assert Oracle(self.site).wrong() == []

    def teardown(self) -> None:
        if hasattr(self, "site"):
            SEEN.append(Clearing.objects.filter(gate__task__project=self.site.project).count())
            assert check_rules(self.site.project, self.site.at) == []


SEEN: list[int] = []


def test_no_way_through_the_job_leaves_a_gate_cleared_that_should_not_be(db: Any) -> None:
    SEEN.clear()
    run_state_machine_as_test(
        Work,
        settings=settings(
            max_examples=10,
            stateful_step_count=10,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
    assert sum(SEEN) > 0, "no gate was ever cleared: the machine proves nothing"


def test_the_oracle_sees_a_gate_that_should_not_stand(db: Any) -> None:
    site = build("oracle-", JOB_INSPECTED)
    site.back()
    site.settle()
    site.start(ROUGH.key, "electrician")
    site.photo("rough@pit#receptacle", "electrician")
    inspect(site, "passed")
    site.sign("close-in", "contractor")
    site.sign("close-in", "crew")
    site.clear("close-in")
    assert Oracle(site).wrong() == []
    Evidence.objects.filter(requirement=site.need(SPREAD)).update(withdrawn_at=site.at)
    gate = Gate.objects.get(key="close-in", task__project=site.project)
    assert Oracle(site).wrong() == [f"{gate.key}: task accepted {BACKING.key}"]
