"""One visit on its page: what is booked, whether it is go or no-go, what each day would cost."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _

from coordination.dates.forecasting import Outlook
from coordination.dates.models import Confirmation, SiteStatement, Visit
from coordination.dates.visit_terms import Agreed, advice_for, cost_on, days_of
from coordination.gates.queries import Scene
from coordination.gates.sentences import Names
from coordination.gates.visits import Void, blocking, gates_ahead, no_go, proof_of, to_do, void_of
from coordination.pictures.cost_curve import CostCurve, CurveDay, Flag, cost_curve
from coordination.readiness import Missing
from coordination.scheduling.booking import Advice, DayCost
from coordination.web.missing import MissingLine, missing_lines, sheet_of
from coordination.web.shapes.sureness import SureLine, Surely, runs_words
from coordination.web.shapes.visit_lines import NAMES
from coordination.web.shapes.what_if import day_words
from coordination.web.standing_cells import Cell
from coordination.web.texts import on_day

MOST_DAYS = 45
SHOWN = 8


@dataclass(frozen=True)
class DayLine:
    """One day that could be booked, for the table behind the curve."""

    day: str
    cost: str
    wasted: str
    waiting: str
    cheapest: bool
    booked: bool


@dataclass(frozen=True)
class StatementLine:
    """How the site-ready statement stands: not signed, signed, or signed and void, with why."""

    state: str
    words: str
    why: str


class VisitPage:
    """Everything about one visit, from what was looked up once."""

    def __init__(
        self,
        key: str,
        scene: Scene,
        outlook: Outlook,
        *,
        agreed: Agreed,
        rows: Sequence[Visit],
        today: date,
    ) -> None:
        self.key, self.scene, self.outlook, self.agreed, self.today = key, scene, outlook, agreed, today
        own = [row for row in rows if row.key == key]
        self.booked = next((row for row in own if row.moved_at is None), None)
        self.moved_from = tuple(row.day for row in own if row.moved_at is not None)
        self.name = str(NAMES[key])
        self.to_do = to_do(scene.holding, key)
        self.begun = any(task.begun_on for task in self.to_do)
        self.surely = Surely(outlook, scene.holding.task_by_key, sheet_of(scene.holding))

    @property
    def charge_cents(self) -> int:
        """What a wasted trip costs: as booked, else as agreed."""
        return self.booked.wasted_trip_cents if self.booked else self.agreed.wasted_trip_cents

    @property
    def over(self) -> bool:
        return not self.to_do

    @cached_property
    def held(self) -> tuple[Missing, ...]:
        return no_go(self.scene, self.key)

    @property
    def sure(self) -> SureLine | None:
        return self.surely.visit(self.key)

    @cached_property
    def blocking(self) -> tuple[Missing, ...]:
        return blocking(self.scene, self.key)

    def missing(self) -> list[MissingLine]:
        """What somebody can do about it now."""
        return missing_lines(self.blocking[:SHOWN], self.scene.holding)

    @property
    def more_missing(self) -> int:
        return max(0, len(self.blocking) - SHOWN)

    def gates(self) -> list[Cell]:
        """The gates in front, each with its state."""
        names, holding = Names(self.scene.holding), self.scene.holding
        return [
            Cell(
                names.gate(gate.key),
                "",
                state=self.scene.assessment.gates[gate.key].state,
                href=sheet_of(holding)(holding.task[gate.task_id]),
            )
            for gate in gates_ahead(holding, self.key)
        ]

    def cells(self, confirmation: Confirmation | None) -> list[Cell]:
        """What is booked, and the days that hang on it."""
        ready = self.outlook.ready.get(self.key)
        sure = self.sure
        return [
            self._booked_cell(confirmation),
            Cell(_("ready by the plan"), day_words(ready) if ready else "–", sure.words if sure else ""),
            *self._days_cells(),
            Cell(
                _("a wasted trip costs"), money(self.charge_cents) if self.charge_cents else _("not entered")
            ),
        ]

    def _booked_cell(self, confirmation: Confirmation | None) -> Cell:
        if self.booked is None:
            return Cell(_("booked for"), _("its work is done") if self.over else _("not booked"))
        note = (
            _("confirmed by %(name)s") % {"name": confirmation.name} if confirmation else _("not confirmed")
        )
        moved = _("earlier booked for %(days)s") % {"days": ", ".join(map(on_day, self.moved_from))}
        told = f"{note}; {moved}" if self.moved_from else note
        return Cell(_("booked for"), day_words(self.booked.day), told)

    @property
    def free_until(self) -> str:
        """The last day to call off what is booked free of charge; empty once it is over."""
        if self.booked is None:
            return ""
        free = days_of(self.outlook, self.agreed, self.booked.day).last_free_cancellation
        return day_words(free) if free >= self.today else ""

    def _days_cells(self) -> list[Cell]:
        day = self.booked.day if self.booked else None
        if day is None:
            advice = self.advice
            if advice is None:
                return []
            first = day_words(advice.curve[0].day)
            return [Cell(_("first day that can be booked"), first)]
        days = days_of(self.outlook, self.agreed, day)
        assert self.booked is not None  # noqa: S101 - as day is not None
        free = days.last_free_cancellation
        over = _("over; calling off costs the trip") if free < self.today else _("free of charge until then")
        cells = [
            Cell(_("confirm by"), day_words(self.booked.confirm_by)),
            Cell(_("last day to call off"), day_words(free), over),
        ]
        cost = cost_on(self.outlook, self.key, self.agreed, day)
        if cost is not None and day >= self.today:
            cells.append(Cell(_("the trip is wasted in"), runs_words(cost.wasted)))
        return cells

    # what each day costs

    @cached_property
    def advice(self) -> Advice | None:
        held_by = tuple(item.subject for item in self.held)
        return advice_for(self.outlook, self.key, self.agreed, self.today, held_by)

    def cheapest(self) -> dict[str, str] | None:
        """The cheapest day in words; None while no cost was entered."""
        if self.advice is None or not self.agreed.has_costs:
            return None
        day = self.advice.cheapest
        return {
            "day": day_words(day.day),
            "iso": day.day.isoformat(),
            "cost": money(round(day.cost)),
            "wasted": runs_words(day.wasted),
        }

    def chosen(self, day: date) -> dict[str, str] | None:
        """What a trip on ``day`` costs and how likely it is wasted."""
        cost = cost_on(self.outlook, self.key, self.agreed, day)
        if cost is None:
            return None
        return {"day": day_words(day), "cost": money(round(cost.cost)), "wasted": runs_words(cost.wasted)}

    def days(self) -> list[DayLine]:
        """The table behind the curve."""
        booked = self.booked.day if self.booked else None
        cheapest = self.advice.cheapest.day if self.advice and self.agreed.has_costs else None
        return [
            DayLine(
                day=day_words(on.day),
                cost=money(round(on.cost)),
                wasted=f"{on.wasted:.0%}".replace("%", " %"),
                waiting=f"{on.waiting:.1f}",
                cheapest=on.day == cheapest,
                booked=on.day == booked,
            )
            for on in self._shown()
        ]

    def pictures(self) -> dict[str, str]:
        """The curve for a desk and for a phone; nothing while no cost was entered."""
        shown = self._shown()
        if not shown or not self.agreed.has_costs:
            return {}
        curve = self._curve(shown)
        forms = (("sheet", "cost"), ("phone", "costphone"))
        return {form: mark_safe(cost_curve(curve, form, prefix)) for form, prefix in forms}  # type: ignore[arg-type]

    def _shown(self) -> Sequence[DayCost]:
        """The days from the first bookable one on; the long tail in which nothing but waiting grows is cut."""
        if self.advice is None:
            return ()
        curve = self.advice.curve
        certain = next((place for place, on in enumerate(curve) if on.wasted < 0.005), len(curve) - 1)
        return curve[: min(certain + 3, MOST_DAYS)]

    def _curve(self, shown: Sequence[DayCost]) -> CostCurve:
        days = tuple(
            CurveDay(
                on.cost,
                on.wasted,
                _("%(day)s: costs %(cost)s on average, wasted in %(runs)s")
                % {"day": on_day(on.day), "cost": money(round(on.cost)), "runs": runs_words(on.wasted)},
            )
            for on in shown
        )
        return CostCurve(
            title=_("What each day costs"),
            description=_(
                "For each day the crew could come: the mean cost, and how often the trip is wasted."
            ),
            days=days,
            levels=_levels(max(day.cost for day in days)),
            flags=tuple(self._flags(shown)),
            cost_words=_("mean cost of the day"),
            wasted_words=_("share of runs in which the trip is wasted"),
            day_names=tuple(on_day(on.day) for on in shown),
        )

    def _flags(self, shown: Sequence[DayCost]) -> list[Flag]:
        places = {on.day: place for place, on in enumerate(shown)}
        flags = []
        if self.advice is not None and self.advice.cheapest.day in places:
            flags.append(Flag(places[self.advice.cheapest.day], _("cheapest"), strong=True))
        if self.booked is not None and self.booked.day in places:
            flags.append(Flag(places[self.booked.day], _("booked")))
        return flags

    # the statement

    def statement(self, signed: SiteStatement | None) -> StatementLine:
        """How the site-ready statement for the booking stands."""
        if signed is None or self.booked is None:
            return StatementLine("none", _("not signed for this booking"), "")
        void = void_of(signed, self.booked, proof_of(self.scene, self.key), self.charge_cents, self.today)
        words = _("signed by %(name)s") % {"name": signed.signed_name}
        if not void:
            return StatementLine("accepted", words, "")
        return StatementLine("refused", _("%(signed)s, void") % {"signed": words}, void_words(void))


def void_words(void: Void) -> str:
    """Why a signature does not count any more."""
    return {
        "": "",
        "visit moved": _("The visit was moved to another day since."),
        "another charge": _("The charge for a wasted trip is another one since."),
        "proof changed": _("What it rests on has changed since."),
        "too old": _("It is older than a week: the site is looked at again."),
    }[void]


def money(cents: int) -> str:
    """An amount without a currency: the job's own."""
    return f"{cents / 100:,.2f}"


def _levels(most: float) -> tuple[tuple[float, str], ...]:
    """A scale of three or four round amounts that holds ``most`` cents."""
    units = most / 100 or 1.0
    step = next(base * 10**power for power in range(9) for base in (1, 2, 5) if base * 10**power * 4 >= units)
    number = max(1, -(-units // step))
    return tuple((n * step * 100.0, f"{n * step:,}") for n in range(int(number) + 1))
