"""The verbs with which a job is played. The demo's hands are the actions; a test's hands press the real buttons."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import TYPE_CHECKING
from uuid import UUID, uuid5

from coordination.access.models import Project
from coordination.access.visitors import Visitor
from coordination.console.demo.crew_visits import let_come, sign_for_tomorrow
from coordination.console.demo.offerings import scan_of, something_for
from coordination.dates.models import Visit
from coordination.evidence.actions import hand_in
from coordination.evidence.entering import EnteredFor
from coordination.evidence.marking import MarkInput, put_mark
from coordination.evidence.models import Evidence
from coordination.gates.actions import (
    accept_change,
    add_gate,
    add_witness_point,
    answer_handoff,
    attach_variance,
    clear_gate,
    enter_result,
    grant_concession,
    offer_task,
    review_requirement,
    say_attended,
    sign_gate,
    start_task,
    tell_witness,
)
from coordination.gates.actions.inspecting import ItemWish
from coordination.gates.actions.varying import VariancePaper
from coordination.gates.models import Offer, WitnessNotice
from coordination.gates.own_gates import GateWish
from coordination.gates.witnessing import Point
from coordination.projects.actions import AuthorityInput, FactInput, answer_question, set_authority
from coordination.projects.models import Authority, Gate, PlanChange, Requirement, Task

if TYPE_CHECKING:
    from coordination.console.demo.story import Document, Marking


class Hands:
    """Everything that anybody does on one project."""

    def __init__(self, project: Project) -> None:
        self.project = project

    def start(self, visitor: Visitor, at: datetime, task: Task, other: EnteredFor | None) -> None:
        start_task(self.project, visitor, at, task.uid, for_other=other)

    def hand_in(
        self,
        visitor: Visitor,
        at: datetime,
        row: Requirement,
        other: EnteredFor | None,
        *,
        spoiled: bool,
        typed: str,
    ) -> str:
        """Hand in something plausible; gives the number that stands on it, if any."""
        item = something_for(self.project, row, visitor, at, spoiled=spoiled, typed=typed)
        if item.result:
            enter_result(self.project, visitor, at, row.uid, item)
        else:
            hand_in(self.project, visitor, at, row.uid, item, for_other=other)
        return item.number

    def concede(
        self,
        visitor: Visitor,
        at: datetime,
        row: Requirement,
        *,
        reason: str,
        scope: str,
        quantity: str = "",
        expires_on: date | None = None,
    ) -> None:
        """Let go for one role: before the work a deviation permit, afterwards a concession."""
        grant_concession(
            self.project,
            visitor,
            at,
            row.uid,
            reason=reason,
            scope=scope,
            quantity=quantity,
            expires_on=expires_on,
        )

    def vary(
        self,
        visitor: Visitor,
        at: datetime,
        row: Requirement,
        document: "Document",
        *,
        dated: date,
        reason: str,
        scope: str,
    ) -> None:
        """Attach an authority's variance: what it allows, and for which part."""
        paper = VariancePaper(
            authority=Authority.objects.get(project=self.project, kind=document.authority).uid,
            number=document.number,
            dated=dated,
            blob=scan_of(self.project, document.number, at),
            reason=reason,
            scope=scope,
            file_name=f"variance-{document.number}.png",
        )
        attach_variance(self.project, visitor, at, row.uid, paper)

    def fail(
        self,
        visitor: Visitor,
        at: datetime,
        row: Requirement,
        number: str,
        *,
        items: Sequence[ItemWish],
        again_on: date,
    ) -> None:
        """Attach the authority's report of an inspection that was not passed."""
        paper = replace(something_for(self.project, row, visitor, at), number=number, result="failed")
        enter_result(self.project, visitor, at, row.uid, paper, items=items, again_on=again_on)

    def hold(self, visitor: Visitor, at: datetime, wish: GateWish) -> None:
        add_gate(self.project, visitor, at, wish)

    def let_witness(
        self, visitor: Visitor, at: datetime, task: Task, *, party: str, text: str, notice_days: int
    ) -> None:
        add_witness_point(
            self.project, visitor, at, task.uid, party=party, text=text, notice_days=notice_days
        )

    def tell(self, visitor: Visitor, at: datetime, point: Point, *, for_day: date, how: str) -> None:
        """Tell a party of a witness point when it may come."""
        tell_witness(self.project, visitor, at, point.task.uid, point.key, for_day=for_day, how=how)

    def say_who_came(
        self, visitor: Visitor, at: datetime, notice: WitnessNotice, *, who: str, note: str
    ) -> None:
        """``who`` is empty where nobody came."""
        say_attended(self.project, visitor, at, notice.uid, attended=bool(who), who=who, note=note)

    def offer(self, visitor: Visitor, at: datetime, task: Task, other: EnteredFor | None) -> None:
        offer_task(self.project, visitor, at, task.uid, for_other=other)

    def mark(self, visitor: Visitor, at: datetime, photo: Evidence, marking: "Marking") -> UUID:
        """Put a mark on a photo; gives its uid."""
        key = uuid5(photo.uid, marking.words)
        given = MarkInput(key, marking.kind, marking.points, marking.words)
        return put_mark(self.project, visitor, at, photo.uid, given).uid

    def review(
        self,
        visitor: Visitor,
        at: datetime,
        row: Requirement,
        outcome: str,
        reasons: Sequence[str],
        *,
        marks: Sequence[UUID] = (),
    ) -> None:
        review_requirement(self.project, visitor, at, row.uid, outcome, reasons=reasons, marks=marks)

    def receive(
        self, visitor: Visitor, at: datetime, offer: Offer, after: Task, other: EnteredFor | None
    ) -> None:
        answer_handoff(self.project, visitor, at, offer.uid, after.uid, outcome="accepted", for_other=other)

    def sign(self, visitor: Visitor, at: datetime, gate: Gate, statement: str, role: str) -> None:
        sign_gate(self.project, visitor, at, gate.uid, statement=statement, role=role)

    def clear(self, visitor: Visitor, at: datetime, gate: Gate) -> None:
        clear_gate(self.project, visitor, at, gate.uid)

    def ready_the_site(self, coordinator: Visitor, contractor: Visitor, at: datetime) -> Visit | None:
        """Book the crew and sign that the site is ready, once nothing else is missing."""
        return sign_for_tomorrow(self.project, coordinator, contractor, at)

    def let_come(self, coordinator: Visitor, at: datetime, visit: Visit) -> bool:
        return let_come(self.project, coordinator, at, visit)

    def settle(
        self, visitor: Visitor, at: datetime, fact: str, *, typed: str, said_by: str, source: str
    ) -> None:
        """Answer an open question and take the change of plan that follows from it."""
        said = FactInput(typed=typed, said_by=said_by, source=source)
        self._take(answer_question(self.project, visitor, at, fact, said), visitor, at)

    def note_permit(self, visitor: Visitor, at: datetime, kind: str, number: str) -> None:
        """Enter the number of a permit that was granted."""
        dated = AuthorityInput(permit_on=at.date())
        change = set_authority(self.project, visitor, at, kind, permit=number, particulars=dated)
        self._take(change, visitor, at)

    def _take(self, change: PlanChange | None, visitor: Visitor, at: datetime) -> None:
        if change is not None:
            accept_change(self.project, visitor, at, change.uid)
