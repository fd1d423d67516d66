"""A change of plan in words, side by side: what is added, dropped, altered, left as it is."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.evidence.readings import shown
from coordination.gates.sentences import trade_words
from coordination.projects.models import Task as Row
from coordination.projects.queries import ChangeView
from coordination.siteprep.lengths import UnitSystem
from coordination.siteprep.plan import Plan, Requirement, Task
from coordination.web.texts import said


@dataclass(frozen=True)
class Difference:
    """What differs: the name of the part, and how it was and will be. One of the two may be empty."""

    part: str
    before: str
    after: str


@dataclass(frozen=True)
class ChangedTask:
    """A task of the change; ``work`` says what has been done on it, since that stays."""

    name: str
    place: str
    work: str
    differences: tuple[Difference, ...] = ()


@dataclass(frozen=True)
class Bundle:
    """Tasks of one package."""

    name: str
    tasks: tuple[ChangedTask, ...]


@dataclass(frozen=True)
class ChangeWords:
    """The whole change in words. ``untouched`` is the number of tasks that stay exactly as they are."""

    added: tuple[Bundle, ...]
    dropped: tuple[Bundle, ...]
    altered: tuple[Bundle, ...]
    untouched: int
    figures: tuple[Difference, ...]
    gates: tuple[str, ...]
    opened: tuple[str, ...]
    settled: tuple[str, ...]
    links: str
    moved: tuple[Difference, ...]

    @property
    def sizes(self) -> tuple[int, int, int]:
        return tuple(sum(len(b.tasks) for b in each) for each in (self.added, self.dropped, self.altered))  # type: ignore[return-value]


class _Reader:
    """Both plans, and the words for what lies in them."""

    def __init__(self, change: ChangeView, rows: Iterable[Row], system: UnitSystem) -> None:
        self.change, self.system = change, system
        self.before = {task.key: task for task in change.standing.tasks}
        self.after = {task.key: task for task in change.proposed.tasks}
        self.rows = {row.key: row for row in rows}

    def bundles(
        self,
        keys: Iterable[str],
        plan: Plan,
        differing: Callable[[Task], tuple[Difference, ...]] = lambda _t: (),
    ) -> tuple[Bundle, ...]:
        """The tasks with ``keys``, by package."""
        wanted = set(keys)
        places = {place.key: said(place.text) for place in plan.places}
        found: dict[str, list[ChangedTask]] = {}
        for task in plan.tasks:
            if task.key in wanted:
                line = ChangedTask(
                    said(task.text), places.get(task.place, ""), self.work(task), differing(task)
                )
                found.setdefault(task.package, []).append(line)
        listed = sorted(plan.packages, key=lambda package: package.order)
        return tuple(Bundle(said(p.text), tuple(found[p.key])) for p in listed if p.key in found)

    def work(self, task: Task) -> str:
        row = next((self.rows[key] for key in (task.key, *task.was) if key in self.rows), None)
        if row is None or row.begun_on is None:
            return ""
        return (
            _("finished; what was handed in stays")
            if row.finished_on
            else _("at work; what was handed in stays")
        )

    def differences(
        self, fields: Mapping[str, tuple[str, tuple[str, ...]]], task: Task
    ) -> tuple[Difference, ...]:
        old_key, names = fields[task.key]
        return tuple(self._differing(self.before[old_key], task, names))

    def _differing(self, old: Task, new: Task, names: Iterable[str]) -> Iterator[Difference]:
        plain: Mapping[str, tuple[str, Callable[[Task], str]]] = {
            "text": (_("name"), lambda task: said(task.text)),
            "first_line": (_("first line"), lambda task: said(task.first_line)),
            "trade": (_("trade"), lambda task: trade_words(task.trade)),
            "duration": (_("likely working days"), lambda task: str(task.duration.likely)),
            "calendar": (_("working days of"), lambda task: task.calendar),
            "provisional": (_("hangs on a question"), lambda task: _("yes") if task.provisional else _("no")),
        }
        for name in names:
            if name in plain:
                label, words = plain[name]
                if words(old) != words(new):
                    yield Difference(label, words(old), words(new))
            elif name == "requirements":
                yield from self._requirements(old, new)
            elif name == "witness":
                told = [", ".join(said(each.text) for each in task.witness) for task in (old, new)]
                yield Difference(_("who may attend"), *told)
            elif name == "cautions":
                yield Difference(_("cautions"), str(len(old.cautions)), str(len(new.cautions)))

    def _requirements(self, old: Task, new: Task) -> Iterator[Difference]:
        before = {each.key: each for each in old.requirements}
        after = {each.key: each for each in new.requirements}
        for key in [*after, *(key for key in before if key not in after)]:
            one, other = (self.demand(each) if each else "" for each in (before.get(key), after.get(key)))
            if one != other:
                yield Difference(_("must show"), one, other)

    def demand(self, asked: Requirement) -> str:
        """A requirement with its limits."""
        low, high = (shown(bound, asked.unit or "count", self.system) for bound in (asked.low, asked.high))
        limits = {(True, True): "%s – %s", (True, False): _("at least %s"), (False, True): _("at most %s")}
        if not low and not high:
            return said(asked.text)
        words = limits[bool(low), bool(high)] % tuple(filter(None, (low, high)))
        return f"{said(asked.text)}: {words}"

    def figures(self, keys: Iterable[str]) -> Iterator[Difference]:
        before, after = (
            {f"{each.key}@{each.place}": each for each in plan.quantities}
            for plan in (self.change.standing, self.change.proposed)
        )
        for key in keys:
            one, other = before.get(key), after.get(key)
            name = said((other or one).text)  # type: ignore[union-attr]
            words = (shown(each.value, each.unit, self.system) if each else "" for each in (one, other))
            yield Difference(name, *words)

    def moved(self) -> Iterator[Difference]:
        """Derived durations that move under one that people set, which stays."""
        for each in self.change.moved_under:
            own = ngettext("%(own)s working day set by hand", "%(own)s working days set by hand", each.own)
            name = f"{said(self.after[each.task].text)} ({own % {'own': each.own}})"
            yield Difference(name, str(each.before), str(each.after))


def change_words(change: ChangeView, rows: Iterable[Row], system: UnitSystem) -> ChangeWords:
    """The change for a person who is to accept it; ``rows`` are the tasks as they stand."""
    reader, told = _Reader(change, rows, system), change.summary
    fields = {each["key"]: (each["old_key"], tuple(each["fields"])) for each in told["altered"]}
    gates = {gate.key: said(gate.text) for plan in (change.standing, change.proposed) for gate in plan.gates}
    asked = {q.fact: said(q.text) for plan in (change.standing, change.proposed) for q in plan.questions}
    return ChangeWords(
        added=reader.bundles(told["added"], change.proposed),
        dropped=reader.bundles(told["dropped"], change.standing),
        altered=reader.bundles(fields, change.proposed, lambda task: reader.differences(fields, task)),
        untouched=len(told["untouched"]),
        figures=tuple(reader.figures(told["quantities_altered"])),
        gates=tuple(gates[key] for key in told["gates_altered"]),
        opened=tuple(asked[fact] for fact in told["questions_opened"]),
        settled=tuple(asked[fact] for fact in told["questions_settled"]),
        links=_links(told),
        moved=tuple(reader.moved()),
    )


def _links(told: Mapping[str, Any]) -> str:
    number = sum(len(told[name]) for name in ("links_added", "links_dropped", "links_altered"))
    if not number:
        return ""
    words = ngettext("%(number)s link between tasks differs", "%(number)s links between tasks differ", number)
    return words % {"number": number}
