"""The official result of an inspection: the authority's own written report, and work for each item it did not pass."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.refusals import Reason
from coordination.access.visitors import Visitor
from coordination.evidence.actions import official_row, told_of
from coordination.evidence.items import HandIn
from coordination.evidence.models import CORRECTIONS, FAILED, PASSED, Evidence
from coordination.gates.actions.own_tasks import told_of_work
from coordination.gates.bringing_back import bring_back_unless_shown
from coordination.gates.holding import Holding
from coordination.gates.models import Inspection, InspectionItem
from coordination.gates.own_work import OwnWork, WorkWish, faults_of, own_work
from coordination.gates.refusals import NoResult
from coordination.gates.reopening import Saying, carry_out
from coordination.gates.scene import look_at
from coordination.projects.models import Condition, Gate, Requirement
from coordination.record.models import Event


@dataclass(frozen=True)
class ItemWish:
    """One thing that was not passed: what, where, whose work it is, until when."""

    text: str
    place: str
    trade: str
    due: date | None = None


def enter_result(
    project: Project,
    visitor: Visitor,
    at: datetime,
    requirement_uid: UUID,
    report: HandIn,
    *,
    items: Sequence[ItemWish] = (),
    again_on: date | None = None,
) -> Inspection:
    """Attach an authority's report with its result. Each item becomes work that the gates concerned wait for.

    A failed inspection releases nothing any more: gates that rested on it, or that stand before it, reopen.
    Entered again under the report's key, nothing changes.
    Raises NoResult with every reason, NotHandedIn, TermsMovedOn, NotAllowed, NotVisible, LeftThePlan.
    """
    with deciding(project, visitor, at) as pen:
        holding = (scene := look_at(project, at)).holding
        requirement = scene.requirement(requirement_uid)
        same = Inspection.objects.filter(evidence__sender_key=report.sender_key).first()
        if same is not None and same.evidence.requirement_id == requirement.pk:
            pen.leave_as_it_is()
            return same
        _refuse(holding, requirement, report, items, again_on)
        row = official_row(requirement, report, visitor, at)
        wishes = [_wish(each, again_on) for each in items]
        entering = _Entering(holding, requirement, row, wishes, again_on)
        verb = "inspection failed" if report.result == FAILED else "inspection passed"
        why = [f"{row.number}: {each.text.strip()}" for each in items] or [row.number]
        saying = Saying(verb, str(requirement), entering.told(), why if report.result == FAILED else ())
        carry_out(pen, project, saying, lambda event: entering.keep(event, at))
        return Inspection.objects.get(evidence__uid=row.uid)


class _Entering:
    """One result on its way in: its rows are made anew whenever they are kept, as a trial comes first."""

    def __init__(
        self,
        holding: Holding,
        requirement: Requirement,
        row: Evidence,
        wishes: Sequence[WorkWish],
        again_on: date | None,
    ) -> None:
        self.holding, self.requirement, self.row, self.again_on = holding, requirement, row, again_on
        self.uid = uuid.uuid4()
        self.wishes = [(wish, uuid.uuid4()) for wish in wishes]
        before = Evidence.objects.filter(requirement=requirement).exclude(result="")
        self.round = before.count() + 1

    def works(self) -> list[OwnWork]:
        task = self.holding.task[self.requirement.task_id]
        found = []
        for wish, uid in self.wishes:
            made = own_work(self.holding, wish, uid)
            made.task.package = task.package
            if self.row.result == FAILED:
                made.pairs.append((made.task.key, task.key, "FF"))
            made.pairs.extend((made.task.key, self._milestone(gate), "FS") for gate in self.gates())
            found.append(made)
        return found

    def gates(self) -> list[Gate]:
        """Gates that read the result; where it failed, also those in front of the inspection: it comes again."""
        holding, task = self.holding, self.holding.task[self.requirement.task_id]
        named = {task.key, holding.key_of(self.requirement)}
        reading = {row.gate_id for row in holding.conditions if row.subject in named}
        front = {link.before_id for link in holding.links if link.after_id == task.pk}
        return [
            gate
            for gate in holding.gate_by_key.values()
            if gate.pk in reading or (self.row.result == FAILED and gate.task_id in front)
        ]

    def told(self) -> dict[str, Any]:
        return {
            **told_of([self.row]),
            "result": self.row.result,
            "number": self.row.number,
            "round": self.round,
            "again_on": self.again_on.isoformat() if self.again_on else None,
            "inspection": str(self.uid),
            "not_passed": [told_of_work(made) for made in self.works()],
            "holds": [gate.key for gate in self.gates()],
        }

    def keep(self, event: Event, at: datetime) -> None:
        self.row.pk, self.row.event = None, event
        self.row.save(force_insert=True)
        inspection = Inspection.objects.create(
            uid=self.uid, evidence=self.row, round=self.round, again_on=self.again_on, event=event
        )
        gates = self.gates()
        for made in self.works():
            task = made.keep(self.holding)
            InspectionItem.objects.create(inspection=inspection, task=task, event=event)
            Condition.objects.bulk_create(
                Condition(gate=gate, kind="task accepted", subject=task.key, own=True) for gate in gates
            )
        bring_back_unless_shown(self.holding.project, self.requirement, at)

    def _milestone(self, gate: Gate) -> str:
        return self.holding.task[gate.task_id].key


def _refuse(
    holding: Holding,
    requirement: Requirement,
    report: HandIn,
    items: Sequence[ItemWish],
    again_on: date | None,
) -> None:
    about = {"subject": holding.key_of(requirement)}
    reasons: list[Reason] = []
    if not requirement.release or not requirement.terms.get("inspection"):
        reasons.append(Reason("no inspection", about))
    if report.result == PASSED and items:
        reasons.append(Reason("passed has no items"))
    if report.result in {FAILED, CORRECTIONS} and not items:
        reasons.append(Reason("say what was not passed"))
    if again_on is not None and report.result != FAILED:
        reasons.append(Reason("only a failed inspection comes again"))
    for item in items:
        reasons += faults_of(holding, _wish(item, again_on))
        if again_on and item.due and item.due >= again_on:
            reasons.append(Reason("item due after the re-inspection", {"typed": item.text}))
    if reasons:
        raise NoResult(*dict.fromkeys(reasons))


def _wish(item: ItemWish, again_on: date | None) -> WorkWish:
    due = item.due or (again_on - timedelta(days=1) if again_on else None)
    wish = WorkWish(item.text, item.place, item.trade, due=due)
    return replace(wish, accepts="contractor") if item.trade == "lift" else wish
