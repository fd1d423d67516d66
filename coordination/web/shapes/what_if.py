"""Gates and visits side by side: as they stand, and as a change would have them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.dates.what_if import Comparison, Move
from coordination.siteprep.plan import Plan
from coordination.web.shapes.visit_lines import NAMES
from coordination.web.texts import on_day, said


@dataclass(frozen=True)
class MoveLine:
    """One gate or visit; what either side does not have is empty. ``sure`` is what eight of ten runs keep."""

    name: str
    now: str
    then: str
    move: str
    later: bool
    sure_now: str
    sure_then: str
    sure_move: str
    sure_later: bool

    @property
    def same(self) -> bool:
        return bool(self.now) and self.now == self.then


def gates_of(*plans: Plan) -> dict[str, str]:
    """The names of the gates of some plans, by key."""
    return {gate.key: said(gate.text) for plan in plans for gate in plan.gates}


def move_lines(comparison: Comparison, gates: Mapping[str, str]) -> list[MoveLine]:
    """Each gate, visit and the end; ``gates`` names the gates by key."""
    return [_line(move, _name(move, gates)) for move in comparison.moves]


def summary(comparison: Comparison) -> str:
    """The change in one sentence."""
    moved = [move for move in comparison.moves if move.days or move.sure_days]
    if not moved:
        return _("No gate and no visit moves.")
    worst = max((move.days or 0 for move in moved), default=0)
    best = min((move.days or 0 for move in moved), default=0)
    told = [_counted(moved, "gate"), _counted(moved, "visit")]
    words = _(" and ").join(part for part in told if part) or _("the last day of work")
    if worst > 0:
        days = ngettext("%(n)d working day later", "%(n)d working days later", worst) % {"n": worst}
        return _("%(what)s move, the furthest %(days)s.") % {"what": words, "days": days}
    if best < 0:
        days = ngettext("%(n)d working day earlier", "%(n)d working days earlier", -best) % {"n": -best}
        return _("%(what)s move, the furthest %(days)s.") % {"what": words, "days": days}
    return _("%(what)s keep their planned day, but not how sure it is.") % {"what": words}


def _counted(moved: Iterable[Move], kind: str) -> str:
    number = sum(move.kind == kind for move in moved)
    if not number:
        return ""
    words = {
        "gate": ngettext("%(n)d gate", "%(n)d gates", number),
        "visit": ngettext("%(n)d visit", "%(n)d visits", number),
    }
    return words[kind] % {"n": number}


def _name(move: Move, gates: Mapping[str, str]) -> str:
    if move.kind == "gate":
        return gates.get(move.key, move.key)
    if move.kind == "visit":
        return _("Visit: %(name)s") % {"name": NAMES.get(move.key, move.key)}
    return _("Last day of work")


def _line(move: Move, name: str) -> MoveLine:
    return MoveLine(
        name=name,
        now=day_words(move.now),
        then=day_words(move.then),
        move=moved_words(move.days),
        later=bool(move.days and move.days > 0),
        sure_now=day_words(move.sure_now),
        sure_then=day_words(move.sure_then),
        sure_move=moved_words(move.sure_days),
        sure_later=bool(move.sure_days and move.sure_days > 0),
    )


def day_words(day: date | None) -> str:
    return f"{on_day(day)} {day.year}" if day else ""


def moved_words(days: int | None) -> str:
    """A difference in working days; nothing where there is none to tell."""
    if days is None:
        return ""
    if not days:
        return _("the same day")
    if days > 0:
        return ngettext("%(n)d working day later", "%(n)d working days later", days) % {"n": days}
    return ngettext("%(n)d working day earlier", "%(n)d working days earlier", -days) % {"n": -days}
