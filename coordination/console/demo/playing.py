"""Plays one project day by day: everybody does what the state allows, through the real actions."""

from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from coordination.access.models import Project
from coordination.access.visitors import Visitor
from coordination.console.demo.cast import Troupe
from coordination.console.demo.crew_visits import weekday_from
from coordination.console.demo.hands import Hands
from coordination.console.demo.letting import let_go
from coordination.console.demo.story import Answering, Failing, Story
from coordination.dates.models import Visit
from coordination.evidence.entering import EnteredFor
from coordination.gates.queries import Scene, look_at
from coordination.gates.visits import STATEMENT_WORK
from coordination.projects.models import Gate, Requirement, Task
from coordination.record.queries import length_and_head

STATEMENT = "What this gate asks for has been looked at and is as the record says."


class Player:
    """One project while it is played. ``tell`` hears how many tasks are satisfied."""

    def __init__(
        self, troupe: Troupe, story: Story, tell: Callable[[int, int], None], hands: Hands | None = None
    ) -> None:
        self.troupe, self.story, self.tell = troupe, story, tell
        self.hands = hands or Hands(troupe.project)
        self.project: Project = troupe.project
        self.zone = ZoneInfo(self.project.zone)
        self.now = datetime(2000, 1, 1, tzinfo=self.zone)
        self.refused: set[str] = set()
        self.settled: set[str] = set()
        self.again_on: dict[str, date] = {}
        self.turns = list(story.turns)
        self.visit: Visit | None = None
        self.confirmed = False
        self._seen: tuple[object, Scene] | None = None

    def play(self, first: date, last: date) -> None:
        """Every working day from ``first`` to ``last``, or until the last gate is cleared."""
        day = first
        while day <= last and not self.finished():
            if day.weekday() < 5:
                self._day(day)
            day += timedelta(days=1)

    def halted_at(self) -> list[str]:
        """Keys of the work that was begun and is not satisfied."""
        scene = self.look()
        return [task.key for task in self._work(scene) if task.begun_on and not scene.ready(task).satisfied]

    # the clock

    def _day(self, day: date) -> None:
        self._set(day, 7)
        self._take_turns()
        self._begin_work(day)
        self._set(day, 14)
        self._hand_over_work(day)
        self._set(day, 15)
        self._take_turns()
        self._answer()
        self._set(day, 16)
        self._ready_the_site()
        self._clear_gates()
        self._let_the_crew_come()

    def _set(self, day: date, hour: int) -> None:
        self.now = max(self.now, datetime.combine(day, time(hour, 4), self.zone))

    def tick(self) -> datetime:
        self.now += timedelta(seconds=47)
        return self.now

    # what there is

    def look(self) -> Scene:
        """What stands now; looked up again only when something was decided or another day began."""
        seen = (length_and_head(self.project.stream), self.now.date())
        if self._seen is None or self._seen[0] != seen:
            self._seen = (seen, look_at(self.project, self.now))
        return self._seen[1]

    def _work(self, scene: Scene) -> list[Task]:
        live = [task for task in scene.holding.tasks if task.retired_in is None and not task.is_gate]
        self.tell(sum(scene.ready(task).satisfied for task in live), len(live))
        return live

    def finished(self) -> bool:
        """Whether the last gate is cleared."""
        scene = self.look()
        gates = list(scene.holding.gate_by_key.values())
        last = max(gates, key=lambda gate: gate.order)
        return scene.holding.standing_clearing(last) is not None

    # who does it

    def _doer(self, trade: str) -> tuple[Visitor, EnteredFor | None]:
        """Who enters the work of a trade: the company itself, or the contractor for one that does not sign in."""
        cast = self.troupe.cast
        if trade == "lift":
            return self.troupe.as_role("lift crew", self.now), None
        if trade in {"general contractor", "building official"}:
            return self.troupe.as_role("contractor", self.now), None
        company = cast.company_of(trade)
        if cast.signs_in(company):
            return self.troupe.as_company(company, self.now), None
        return self.troupe.as_role("contractor", self.now), EnteredFor("texted photo", company)

    def _reviewer(self, role: str, deputy: str, sender: str) -> Visitor:
        """The role that reviews, or its deputy where the reviewer entered the work."""
        visitor = self.troupe.as_role(role, self.now)
        return visitor if visitor.identity != sender or not deputy else self.troupe.as_role(deputy, self.now)

    # the day

    def _take_turns(self) -> None:
        self.turns = [turn for turn in self.turns if not turn.take(self, self.look())]

    def _begin_work(self, day: date) -> None:
        for answer in self.story.answers:
            self._settle(answer)
        scene = self.look()
        for task in self._work(scene):
            if (
                task.begun_on is None
                and task.key not in self.story.never_begun
                and scene.ready(task).may_start
                and not any(turn.keeps(task, scene) for turn in self.turns)
            ):
                visitor, other = self._doer(task.trade)
                self.hands.start(visitor, self.tick(), task, other)

    def _settle(self, answer: Answering) -> None:
        if answer.fact in self.settled:
            return
        scene = self.look()
        task = scene.holding.task_by_key.get(answer.when_begins)
        if task is None or not (task.begun_on or scene.ready(task).may_start):
            return
        self.settled.add(answer.fact)
        coordinator = self.troupe.as_role("coordinator", self.now)
        self.hands.settle(
            coordinator,
            self.tick(),
            answer.fact,
            typed=answer.typed,
            said_by=answer.said_by,
            source=answer.source,
        )

    def _hand_over_work(self, day: date) -> None:
        scene = self.look()
        for task in self._work(scene):
            if task.begun_on and task.finished_on is None and self._is_due(task, day):
                self._hand_over(task, scene, day)

    def _is_due(self, task: Task, day: date) -> bool:
        """Whether the most likely duration is over, counted in weekdays."""
        days = task.derived["duration"]["likely"]
        worked = sum(
            (task.begun_on + timedelta(n)).weekday() < 5 for n in range((day - task.begun_on).days + 1)
        )
        return worked >= days

    def _hand_over(self, task: Task, scene: Scene, day: date) -> None:
        for row in scene.holding.requirements_of[task.pk]:
            key = scene.holding.key_of(row)
            shown = scene.holding.shown[row.pk]
            if shown.outcome == "refused" and key in self.story.never_retaken:
                return
            if failing := self._fails(key):
                self._fail(row, key, failing)
                return
            if self.again_on.get(key, day) > day:
                return
            if row.pk in scene.holding.standing_concession:
                continue
            if shown.outcome in {"none", "refused", "failed"}:
                self._hand_in(task, row, key)
        visitor, other = self._doer(task.trade)
        ready = self.look().ready(task)
        if ready.may_offer:
            self.hands.offer(visitor, self.tick(), task, other)

    def _fails(self, key: str) -> Failing | None:
        """How an inspection ends that has not been made yet and is not passed."""
        found = (each for each in self.story.failings if each.requirement == key)
        return None if key in self.again_on else next(found, None)

    def _fail(self, row: Requirement, key: str, failing: Failing) -> None:
        self.again_on[key] = weekday_from(self.now.date() + timedelta(days=failing.days))
        contractor = self.troupe.as_role("contractor", self.now)
        self.hands.fail(
            contractor, self.tick(), row, failing.number, items=failing.items, again_on=self.again_on[key]
        )

    def _hand_in(self, task: Task, row: Requirement, key: str) -> None:
        visitor, other = self._doer(task.trade)
        if row.release:
            visitor, other = self.troupe.as_role("contractor", self.now), None
        spoiled = key not in self.refused and any(
            refusal.requirement == key for refusal in self.story.refusals
        )
        letting = next((item for item in self.story.lettings if item.requirement == key), None)
        number = self.hands.hand_in(
            visitor, self.tick(), row, other, spoiled=spoiled, typed=letting.typed if letting else ""
        )
        if letting:
            let_go(self, row, letting)
        if kind := self.story.permits.get(key):
            self.hands.note_permit(self.troupe.as_role("coordinator", self.now), self.tick(), kind, number)

    def _answer(self) -> None:
        scene = self.look()
        for task in self._work(scene):
            if (
                task.finished_on
                and task.key not in self.story.never_answered
                and not scene.ready(task).satisfied
            ):
                self._review(task, scene)
        scene = self.look()
        for task in self._work(scene):
            if task.key not in self.story.never_answered:
                self._receive(task, scene)

    def _review(self, task: Task, scene: Scene) -> None:
        for row in scene.holding.requirements_of[task.pk]:
            shown = scene.holding.shown[row.pk]
            if not row.accepts or not shown.reviewable or row.pk in scene.holding.standing_concession:
                continue
            key = scene.holding.key_of(row)
            reviewer = self._reviewer(row.accepts, row.deputy, shown.reviewable[0].evidence.sender)
            refusal = next((item for item in self.story.refusals if item.requirement == key), None)
            if refusal and key not in self.refused:
                self.refused.add(key)
                marks = [
                    self.hands.mark(reviewer, self.tick(), shown.reviewable[0].evidence, marking)
                    for marking in refusal.marks
                ]
                self.hands.review(reviewer, self.tick(), row, "refused", refusal.reasons, marks=marks)
                return
            self.hands.review(reviewer, self.tick(), row, "accepted", ())

    def _receive(self, task: Task, scene: Scene) -> None:
        offer = scene.holding.newest_offer.get(task.pk)
        if offer is None or offer.ended_at is not None:
            return
        for link in scene.holding.links_out_of[task.pk]:
            if not link.handoff or (offer.pk, link.pk) in scene.holding.answer_to:
                continue
            after = scene.holding.task[link.after_id]
            visitor, other = self._doer(after.trade)
            if visitor.identity == offer.sender:
                visitor, other = self.troupe.as_role("coordinator", self.now), EnteredFor("call")
            self.hands.receive(visitor, self.tick(), offer, after, other)

    def _ready_the_site(self) -> None:
        """Looked at once the work of the statement is finished, until it is signed."""
        done = (task for task in self.look().holding.tasks if task.entry == STATEMENT_WORK)
        if self.visit is None and any(task.finished_on for task in done):
            people = (self.troupe.as_role(role, self.now) for role in ("coordinator", "contractor"))
            self.visit = self.hands.ready_the_site(*people, self.tick())

    def _let_the_crew_come(self) -> None:
        if self.visit is not None and not self.confirmed:
            coordinator = self.troupe.as_role("coordinator", self.now)
            self.confirmed = self.hands.let_come(coordinator, self.tick(), self.visit)

    def _clear_gates(self) -> None:
        while gate := self._next_ready_gate():
            scene = self.look()
            for missing in scene.assessment.gates[gate.key].missing:
                signer = self.troupe.as_role(missing.subject, self.now)
                self.hands.sign(signer, self.tick(), gate, STATEMENT, missing.subject)
            self.hands.clear(self.troupe.as_role(gate.clears, self.now), self.tick(), gate)

    def _next_ready_gate(self) -> Gate | None:
        """A gate at which only signatures are missing."""
        scene = self.look()
        for gate in sorted(scene.holding.gate_by_key.values(), key=lambda row: row.order):
            ready = scene.assessment.gates[gate.key]
            if ready.state != "cleared" and not ready.unsigned:
                return gate
        return None
