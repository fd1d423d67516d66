"""One task as its people see it: what, where, which dimension; what it waits for; what it must show; passing it on."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from uuid import UUID

from django.utils import timezone
from django.utils.translation import gettext as _

from coordination.access.permissions import Scope, may
from coordination.access.visitors import Visitor
from coordination.dates.queries import DatedPlan
from coordination.evidence.entering import WITHOUT_A_COMPANY
from coordination.gates.models import Offer
from coordination.gates.queries import Scene, returned
from coordination.gates.refusal_words import reason_words
from coordination.gates.sentences import Names, of_requirement, of_task
from coordination.projects.models import Requirement, Task
from coordination.readiness import Missing
from coordination.siteprep.plan import Plan
from coordination.web.addresses import address_of
from coordination.web.missing import STATES, Address, MissingLine, missing_lines
from coordination.web.shapes.beginning import TakenOver, taken_over
from coordination.web.shapes.due_words import behind_words, due_of
from coordination.web.shapes.handoffs import HandoffLine, company_or_trade, handoffs_between
from coordination.web.shapes.needs import Need, needs_of
from coordination.web.shapes.rounds import RoundLine, rounds_of
from coordination.web.shapes.scopes import may_see, receivers_of
from coordination.web.shapes.why_words import why_words
from coordination.web.texts import said


@dataclass(frozen=True)
class ReturnedLine:
    """Why the work came back: of what, who said it, when, for which reasons."""

    subject: str
    by: str
    at: datetime
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class OfferLine:
    """Work that is held out, and to whom; or that is simply done."""

    to: str
    at: datetime
    answer_by: datetime | None
    crew_waiting: bool
    by: str


@dataclass(frozen=True)
class StillToShow:
    """One of the task's own requirements that is not there yet; it stands further up on the same page."""

    sentence: str
    state: str
    href: str
    need: UUID


@dataclass(frozen=True)
class TaskSheet:
    """Everything of one task that its page writes. ``for_company`` is None where the work is the visitor's own."""

    uid: UUID
    key: str
    name: str
    first_line: str
    place: str
    company: str
    state: str
    question_open: bool
    provisional: bool
    returned: tuple[ReturnedLine, ...]
    cautions: tuple[str, ...]
    begun_on: date | None
    finished_on: date | None
    first_day: date | None
    last_day: date | None
    done_by: date | None
    why: str
    behind: str
    may_do: bool
    may_start: bool
    start_missing: tuple[MissingLine, ...]
    needs: tuple[Need, ...]
    may_offer: bool
    still_to_show: tuple[StillToShow, ...]
    offer_missing: tuple[MissingLine, ...]
    receivers: tuple[str, ...]
    reviewed: bool
    offer: OfferLine | None
    handoffs: tuple[HandoffLine, ...]
    takes_over: tuple[TakenOver, ...]
    rounds: tuple[RoundLine, ...]
    for_company: str | None
    ends_by_review: bool

    @property
    def begins_here(self) -> bool:
        """Whether nothing but the visitor's own word is missing before it begins."""
        return self.begun_on is None and self.may_start and self.may_do


def task_sheet(
    task: Task, scene: Scene, visitor: Visitor, plan: Plan, dated: DatedPlan | None, *, every: bool = False
) -> TaskSheet:
    """The page of one task. ``every``: with what was handed in before and counts no more."""
    ready, holding = scene.ready(task), scene.holding
    dates = dated.tasks.get(task.key) if dated else None
    receivers, names = receivers_of(task, holding), Names(holding)
    needs = needs_of(task, scene, visitor, every=every)
    return TaskSheet(
        uid=task.uid,
        key=task.key,
        name=of_task(task),
        first_line=said(task.derived.get("first_line", {})),
        place=place_words(task, plan),
        company=company_or_trade(task.trade, scene),
        state=ready.state,
        question_open=ready.question_open,
        provisional=task.provisional,
        returned=tuple(returned_lines(task, scene)),
        cautions=cautions_of(task, plan),
        begun_on=task.begun_on,
        finished_on=task.finished_on,
        first_day=dates.early_start if dates and task.begun_on is None else None,
        last_day=dates.early_last_day if dates and task.finished_on is None else None,
        done_by=due_of(dated, task.key) if dates and dated else task.done_by,
        why=why_words(dates, names.task) if dates and task.finished_on is None else "",
        behind=behind_words(dated, task.key, names.task) if dates and dated else "",
        may_do=may(visitor, "start a task", Scope(trade=task.trade)),
        may_start=ready.may_start,
        start_missing=tuple(
            missing_for(visitor, scene, ready.start_missing) if task.begun_on is None else ()
        ),
        needs=tuple(needs),
        may_offer=ready.may_offer,
        still_to_show=tuple(still_to_show(ready.offer_missing, task, scene)),
        offer_missing=tuple(missing_for(visitor, scene, _others(ready.offer_missing, task, scene))),
        receivers=tuple(dict.fromkeys(company_or_trade(row.trade, scene) for row in receivers)),
        reviewed=any(need.reviewer and not need.satisfied for need in needs),
        offer=_offer(holding.newest_offer.get(task.pk), task, scene),
        handoffs=tuple(handoffs_between(visitor, scene, task)),
        takes_over=taken_over(task, scene, visitor),
        rounds=tuple(rounds_of(task, scene, timezone.now())),
        for_company=company_entered_for(task, scene, visitor),
        ends_by_review=bool(receivers) or any(need.reviewer for need in needs),
    )


def company_entered_for(task: Task, scene: Scene, visitor: Visitor) -> str | None:
    """The company for which the visitor would enter; None where the work is their own or the authority's."""
    if task.trade in visitor.trades or task.trade in WITHOUT_A_COMPANY:
        return None
    return scene.holding.company_of(task.trade)[0]


def place_words(task: Task, plan: Plan) -> str:
    return next((said(place.text) for place in plan.places if place.key == task.place), task.place)


def cautions_of(task: Task, plan: Plan) -> tuple[str, ...]:
    """The cautions of one task in the reader's words."""
    keys = task.derived.get("cautions", ())
    return tuple(said(plan.cautions[key]) for key in keys if key in plan.cautions)


def returned_lines(task: Task, scene: Scene) -> list[ReturnedLine]:
    """The reasons on top of work that came back."""
    names = Names(scene.holding)
    return [
        ReturnedLine(
            _subject(item.subject, task, names),
            item.by,
            item.at,
            tuple(reason_words(item.reasons)),
        )
        for item in returned(scene, task)
    ]


def _subject(key: str, task: Task, names: Names) -> str:
    """In words, what was refused: one of the task's own requirements, or the whole by a receiving task."""
    own = f"{task.key}#{key}"
    return names.requirement(own) if own in names.holding.requirement_by_key else names.task(key)


def missing_for(visitor: Visitor, scene: Scene, missing: Iterable[Missing]) -> list[MissingLine]:
    """What is missing, as far as the visitor may know of it: telephones and other sheets only for those who may."""
    lines = missing_lines(missing, scene.holding, address_for(visitor, scene))
    return lines if may(visitor, "see phone numbers") else [replace(line, phone="") for line in lines]


def still_to_show(missing: Iterable[Missing], task: Task, scene: Scene) -> list[StillToShow]:
    """Of what is missing, the task's own requirements, in short."""
    return [
        StillToShow(of_requirement(row), STATES.get(item.kind, "none"), f"#need-{row.uid}", row.uid)
        for item in missing
        if (row := _own(item, task, scene)) is not None
    ]


def address_for(visitor: Visitor, scene: Scene) -> Address:
    """The page on which this visitor sees a task; none where they may not."""
    holding = scene.holding

    def address(task: Task) -> str:
        if may(visitor, "see the project"):
            return address_of("gate" if task.is_gate else "task", holding.project.uid, task.uid)
        if task.trade in visitor.trades and may_see(visitor, task, holding):
            return address_of("my-task", holding.project.uid, task.uid)
        return ""

    return address


def _others(missing: Iterable[Missing], task: Task, scene: Scene) -> list[Missing]:
    """What else is missing. That the work has not begun needs no saying: the button to begin says it."""
    return [
        item
        for item in missing
        if _own(item, task, scene) is None and not (item.kind == "not begun" and item.subject == task.key)
    ]


def _own(item: Missing, task: Task, scene: Scene) -> Requirement | None:
    row = scene.holding.requirement_by_key.get(item.subject)
    return row if row is not None and row.task_id == task.pk else None


def _offer(offer: Offer | None, task: Task, scene: Scene) -> OfferLine | None:
    if offer is None or offer.ended_at is not None or task.finished_on is None:
        return None
    to = _names([company_or_trade(row.trade, scene) for row in receivers_of(task, scene.holding)])
    by = offer.sender_name
    if offer.entered_for:
        told = {"name": offer.sender_name, "company": offer.entered_for, "source": offer.entry_source}
        by = _("entered by %(name)s for %(company)s (%(source)s)") % told
    return OfferLine(to, offer.offered_at, offer.answer_by, offer.crew_waiting, by)


def _names(names: Sequence[str]) -> str:
    return ", ".join(dict.fromkeys(names))
