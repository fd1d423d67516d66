"""What each company owes, as lines: what, to whom, since when, what it holds up, how many days of float that ate."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.utils.text import capfirst

from coordination.access.models import Company
from coordination.access.permissions import may
from coordination.access.visitors import Visitor
from coordination.dates.float_eaten import Float, Floats
from coordination.dates.queries import DatedPlan
from coordination.gates.calendars import working_hours
from coordination.gates.owing import Owed, owed_by_trade
from coordination.gates.queries import Scene
from coordination.gates.sentences import Names, missing_thing, names_of, of_gate
from coordination.projects.models import Task
from coordination.web.missing import STATES
from coordination.web.shapes.handoffs import company_or_trade
from coordination.web.shapes.review_lines import answer_by
from coordination.web.shapes.task_sheets import address_for

MOST_HELD = 4


@dataclass(frozen=True)
class HeldUp:
    """One piece of work or gate that waits, and whose it is. ``phone`` only for those who may see telephones."""

    name: str
    company: str
    phone: str
    href: str


@dataclass(frozen=True)
class OwedLine:
    """One thing that is owed. ``due`` is when an answer was or is due."""

    sentence: str
    work: str
    state: str
    href: str
    to: tuple[str, ...]
    since: date | None
    due: datetime | None
    late: bool
    held: tuple[HeldUp, ...]
    more: int
    float: Float


@dataclass(frozen=True)
class CompanyOwes:
    """One company with everything that it owes, what eats most float first."""

    uid: UUID
    name: str
    phone: str
    lines: tuple[OwedLine, ...]


def owed_lines(
    visitor: Visitor, scene: Scene, dated: DatedPlan | None, now: datetime, *, own: bool = False
) -> list[CompanyOwes]:
    """By company, the one that eats most first; ``own``: only what the visitor's own trades and role owe.

    A role owes as the company of its member. What an authority owes is no company's.
    """
    floats = Floats(scene.holding.project, dated, scene.holding.today)
    companies = _companies(scene)
    rows: dict[int, list[OwedLine]] = {}
    named: dict[int, Company] = {}
    for trade, owed in owed_by_trade(scene).items():
        company = companies.get(trade)
        if company is None or (own and trade not in visitor.trades | visitor.roles):
            continue
        named[company.pk] = company
        rows.setdefault(company.pk, []).extend(_line(each, visitor, scene, floats, now) for each in owed)
    calls = may(visitor, "see phone numbers")
    found = [
        CompanyOwes(company.uid, company.name, company.phone if calls else "", tuple(_by_weight(rows[pk])))
        for pk, company in named.items()
    ]
    return sorted(found, key=lambda each: (_weight(each.lines[0]), each.name))


def _companies(scene: Scene) -> dict[str, Company]:
    """The company behind each trade and each role."""
    roles = {row.role: row.company for row in reversed(scene.holding.memberships)}
    return roles | {row.trade: row.company for row in scene.holding.assignments}


def _line(owed: Owed, visitor: Visitor, scene: Scene, floats: Floats, now: datetime) -> OwedLine:
    holding, item = scene.holding, owed.missing
    names, task = Names(holding), holding.task_by_key.get(owed.missing.task)
    address, calls = address_for(visitor, scene), may(visitor, "see phone numbers")
    due = _due(owed, task, scene)
    held = [_held(row, scene, address(row), calls=calls) for row in owed.holds]
    lost = [floats.of(row.key, owed.since) for row in owed.holds] or [floats.of(item.task, owed.since)]
    return OwedLine(
        sentence=capfirst(missing_thing(item, names)),
        work=names.task(task.key) if task and item.subject != task.key else "",
        state="ready" if item.kind == "not begun" else STATES.get(item.kind, "none"),
        href=address(task) if task else "",
        to=_to(owed, task, scene),
        since=owed.since,
        due=due,
        late=due is not None and due < now,
        held=tuple(held[:MOST_HELD]),
        more=max(0, len(held) - MOST_HELD),
        float=max(lost, key=lambda each: (each.eaten or 0, -(each.left if each.left is not None else 999))),
    )


def _held(task: Task, scene: Scene, href: str, *, calls: bool) -> HeldUp:
    company, phone = scene.holding.company_of(task.trade)
    name = names_of(scene).task(task.key)
    if task.is_gate:
        gate = next((row for row in scene.holding.gates if row.task_id == task.pk), None)
        name = of_gate(gate) if gate else name
    whose = "" if task.is_gate else company or company_or_trade(task.trade, scene)
    return HeldUp(name, whose, phone if calls and not task.is_gate else "", href)


def _to(owed: Owed, task: Task | None, scene: Scene) -> tuple[str, ...]:
    """Whom it is owed to: for an answer whoever offered, else those whose work waits."""
    if owed.missing.kind == "handoff not answered" and task is not None:
        return (company_or_trade(task.trade, scene),)
    waiting = [company_or_trade(row.trade, scene) for row in owed.holds]
    return tuple(dict.fromkeys(waiting))


def _due(owed: Owed, task: Task | None, scene: Scene) -> datetime | None:
    """When an answer is due: with the offer; before it, as long after it was handed in as the review asks."""
    if owed.missing.kind not in {"handoff not answered", "not reviewed"} or task is None:
        return None
    need = scene.holding.requirement_by_key.get(owed.missing.subject)
    if owed.missing.kind == "not reviewed" and need is not None and scene.holding.shown[need.pk].reviewable:
        return answer_by(need, scene, working_hours(scene.holding))
    offer = scene.holding.newest_offer.get(task.pk)
    return offer.answer_by if offer and offer.ended_at is None else None


def _by_weight(lines: Iterable[OwedLine]) -> Sequence[OwedLine]:
    return sorted(lines, key=_weight)


def _weight(line: OwedLine) -> tuple[int, int, date]:
    """What eats most float first, then what has least left, then the longest owed."""
    left = line.float.left if line.float.left is not None else 999
    return -(line.float.eaten or 0), left, line.since or date.max
