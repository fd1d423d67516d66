"""Deriving a plan from facts and catalogue: pure, deterministic, whatever order the facts came in.

An unknown fact is never silently false: what depends on it is planned as provisional, and a question says
who decides.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from coordination.siteprep.catalogue import Catalogue
from coordination.siteprep.conditions import TRUE, Condition, Truth, both
from coordination.siteprep.entries import Bound, GateConditionEntry, GateEntry, RequirementEntry, TaskEntry
from coordination.siteprep.fact_types import Facts
from coordination.siteprep.filling import Filling
from coordination.siteprep.joining import Ground, links_between, refuse_rings
from coordination.siteprep.placing import place_of, places_of
from coordination.siteprep.plan_parts import (
    Condition as GateCondition,
)
from coordination.siteprep.plan_parts import (
    Duration,
    Finding,
    Gate,
    Link,
    Number,
    Place,
    Plan,
    Question,
    Requirement,
    Task,
)
from coordination.siteprep.quantities import missing, quantities

_NO_TIME = Duration(0, 0, 0)
# What no single task reads, yet every sheet or date rests on.
_WHOLE_JOB = (
    "job.code_set",
    "job.units",
    "lift.class",
    "lift.drive",
    "landings",
    "calendar.start",
    "calendar.working_days",
    "calendar.holidays",
)
_GATE_TRADE = "general contractor"


@dataclass
class _Asked:
    """Unknown facts in the order they came up, each with the tasks that depend on it."""

    tasks: dict[str, list[str]] = field(default_factory=dict)

    def note(self, facts: Iterable[str], task: str = "") -> None:
        for fact in facts:
            listed = self.tasks.setdefault(fact, [])
            if task and task not in listed:
                listed.append(task)


def derive(facts: Facts, catalogue: Catalogue) -> Plan:
    """Return everything that follows from ``facts``. The same facts and rules give the same plan.

    Raises CatalogueError where rules added from outside wait for each other in a ring.
    """
    asked = _Asked()
    places = places_of(facts)
    figures = quantities(facts, catalogue.quantities)
    filling = Filling(facts, figures)
    tasks = [
        task
        for entry in catalogue.tasks.values()
        for place in _where(entry, places)
        if (task := _task(entry, place, facts, filling, asked)) is not None
    ]
    by_entry: dict[str, list[Task]] = {}
    for task in tasks:
        by_entry.setdefault(task.entry, []).append(task)
    ground = Ground(catalogue, by_entry, {place.key: place for place in places})
    links = list(links_between(ground, filling, asked.note))
    gates, milestones, gate_links = _gates(catalogue, by_entry, facts, filling, asked)
    links = _once([*links, *gate_links])
    refuse_rings([task.key for task in (*tasks, *milestones)], links)
    asked.note(missing(facts))
    asked.note(_WHOLE_JOB)
    order = {key: package.order for key, package in catalogue.packages.items()}
    return Plan(
        places=places,
        tasks=tuple(sorted((*tasks, *milestones), key=lambda task: order[task.package])),
        links=tuple(links),
        gates=tuple(gates),
        questions=_questions(facts, asked),
        quantities=tuple(filling.worded(figure) for figure in figures),
        packages=tuple(filling.worded(package) for package in catalogue.packages.values()),
        code_set=facts.code_set,
        catalogue_sha=catalogue.sha256,
        findings=tuple(_findings(catalogue, facts, filling)),
        drawing_revision=str(facts.value("lift.drawing_revision") or ""),
        cautions={key: filling.text(text) for key, text in catalogue.cautions.items()},
    )


def _where(entry: TaskEntry, places: tuple[Place, ...]) -> Iterator[Place]:
    """Yield the places at which an entry may stand."""
    if entry.spread == "opening":
        yield from (place for place in places if place.side)
    elif entry.spread == "landing":
        yield from (place for place in places if place.kind == "landing" and place.side != "rear")
    else:
        yield from (place for place in places if place.key == place_of(entry.place))


def _truth(condition: Condition, place: Place, facts: Facts) -> Truth:
    return condition.at(place.landing).truth(facts) if place.landing else condition.truth(facts)


def _stands(entry: TaskEntry, place: Place, facts: Facts) -> Truth:
    """Say whether a task is there at all: its condition, its opening, and the list of landings itself."""
    truth = _truth(entry.when, place, facts)
    if place.landing is None:
        return truth
    if facts["landings"].state == "unknown":
        truth = both(truth, Truth(None, frozenset({"landings"})))
    if entry.spread != "opening":
        return truth
    key = f"landing.{place.landing}.{place.side}"
    opens = facts.value(key)
    there = Truth(None, frozenset({key})) if opens is None else Truth(bool(opens))
    return both(truth, there)


def _task(entry: TaskEntry, place: Place, facts: Facts, filling: Filling, asked: _Asked) -> Task | None:
    stands = _stands(entry, place, facts)
    if stands.value is False:
        return None
    key = f"{entry.entry}@{place.key}"
    here = filling.at(place)
    requirements = tuple(_requirements(entry, key, place, here))
    text, first_line = here.text(entry.text), here.text(entry.first_line)
    because = tuple(sorted(stands.unknown))
    asked.note((*because, *(fact for each in requirements for fact in each.because), *here.unknown), key)
    return Task(
        key=key,
        entry=entry.entry,
        place=place.key,
        package=entry.package,
        trade=entry.trade,
        text=text,
        first_line=first_line,
        duration=entry.duration,
        calendar=entry.calendar,
        requirements=requirements,
        cautions=entry.cautions,
        sources=entry.sources,
        provisional=stands.value is None,
        because=because,
        was=tuple(f"{old}@{place.key}" for old in entry.was),
    )


def _requirements(entry: TaskEntry, task: str, place: Place, here: Filling) -> Iterator[Requirement]:
    for each in entry.requirements:
        applies = _truth(each.when, place, here.facts)
        if applies.value is not False:
            yield _requirement(each, task, place, here, applies.unknown)


def _requirement(
    entry: RequirementEntry, task: str, place: Place, here: Filling, unknown: frozenset[str]
) -> Requirement:
    low, high, nominal, open_facts = _limits(entry, place, here)
    return Requirement(
        task=task,
        key=entry.key,
        kind=entry.kind,
        text=here.text(entry.text),
        stand=here.text(entry.stand),
        source=entry.source,
        authorised=entry.authorised,
        unit=entry.unit,
        low=low,
        high=high,
        nominal=nominal,
        accepts=entry.accepts,
        deputy=entry.deputy,
        answer_hours=entry.answer_hours,
        concede=entry.concede,
        release=entry.release,
        lift_critical=entry.lift_critical,
        because=tuple(sorted(unknown | open_facts)),
    )


def _limits(
    entry: RequirementEntry, place: Place, here: Filling
) -> tuple[Number | None, Number | None, Number | None, frozenset[str]]:
    """Return low, high and nominal in the stored unit, and the unknown facts among them."""
    bounds = [_figure(bound, place, here) for bound in (entry.low, entry.high, entry.nominal)]
    low, high, nominal = (number for number, _ in bounds)
    if nominal is not None and entry.minus is not None:
        low = _rounded(nominal - entry.minus * (nominal if entry.relative else 1), nominal)
    if nominal is not None and entry.plus is not None:
        high = _rounded(nominal + entry.plus * (nominal if entry.relative else 1), nominal)
    return low, high, nominal, frozenset(fact for _, fact in bounds if fact)


def _rounded(limit: Number, nominal: Number) -> Number:
    """Keep whole numbers whole: a nanometre, a volt."""
    return round(limit) if isinstance(nominal, int) else limit


def _figure(bound: Bound, place: Place, here: Filling) -> tuple[Number | None, str]:
    """Return the number of a bound and, where its fact is unknown, that fact."""
    if bound.quantity:
        return here.figure(bound.quantity), ""
    if not bound.fact:
        return bound.number, ""
    key = bound.fact.replace("{landing}", place.landing or "")
    value = here.facts.reckoned(key)
    number = value if isinstance(value, int | float) and not isinstance(value, bool) else None
    return number, key if here.facts.value(key) is None else ""


def _gates(
    catalogue: Catalogue, by_entry: Mapping[str, list[Task]], facts: Facts, filling: Filling, asked: _Asked
) -> tuple[list[Gate], list[Task], list[Link]]:
    gates: list[Gate] = []
    milestones: list[Task] = []
    links: list[Link] = []
    for entry in catalogue.gates.values():
        key = f"gate-{entry.key}@site"
        conditions = [
            condition
            for each in entry.conditions
            for condition in _gate_conditions(each, by_entry, facts, asked, key)
        ]
        conditions += [GateCondition("signature", role) for role in entry.signers]
        gate = Gate(
            key=entry.key,
            text=filling.text(entry.text),
            conditions=tuple(conditions),
            signers=entry.signers,
            clears=entry.clears,
            task=key,
            cautions=entry.cautions,
            sources=entry.sources,
        )
        gates.append(gate)
        milestones.append(_milestone(entry, gate, filling))
        links += _gate_links(entry, gate, by_entry)
    return gates, milestones, links


def _milestone(entry: GateEntry, gate: Gate, filling: Filling) -> Task:
    return Task(
        key=gate.task,
        entry=f"gate-{entry.key}",
        place="site",
        package=entry.package,
        trade=_GATE_TRADE,
        text=gate.text,
        first_line=gate.text,
        duration=_NO_TIME,
        calendar="site",
        cautions=entry.cautions,
        sources=entry.sources,
        milestone_of=entry.key,
    )


def _gate_conditions(
    entry: GateConditionEntry, by_entry: Mapping[str, list[Task]], facts: Facts, asked: _Asked, gate: str
) -> Iterator[GateCondition]:
    applies = entry.when.truth(facts)
    asked.note(applies.unknown, gate)
    if applies.value is False:
        return
    if entry.kind == "question answered":
        asked.note((entry.subject,) if facts.value(entry.subject) is None else (), gate)
    if entry.kind in ("question answered", "gate cleared"):
        yield GateCondition(entry.kind, entry.subject)
        return
    named, _, requirement = entry.subject.partition("#")
    for task in by_entry.get(named, ()):
        if not requirement:
            yield GateCondition(entry.kind, task.key)
        elif requirement in {each.key for each in task.requirements}:
            yield GateCondition(entry.kind, f"{task.key}#{requirement}")


def _gate_links(entry: GateEntry, gate: Gate, by_entry: Mapping[str, list[Task]]) -> Iterator[Link]:
    for condition in gate.conditions:
        if condition.kind == "gate cleared":
            yield Link(f"gate-{condition.subject}@site", gate.task)
        elif condition.kind not in ("question answered", "signature"):
            yield Link(condition.subject.partition("#")[0], gate.task)
    for opened in entry.opens:
        for task in by_entry.get(opened, ()):
            yield Link(gate.task, task.key)


def _once(links: list[Link]) -> list[Link]:
    """Drop repeated links, and plain FS links where a covers link says the same and more."""
    covered = {(link.before, link.after) for link in links if link.kind == "covers"}
    found: dict[tuple[str, str, str], Link] = {}
    for link in links:
        if link.kind != "FS" or (link.before, link.after) not in covered:
            found.setdefault(link.key, link)
    return list(found.values())


def _questions(facts: Facts, asked: _Asked) -> tuple[Question, ...]:
    found = []
    for key, definition in facts.definitions.items():
        if key in asked.tasks and facts.value(key) is None:
            found.append(
                Question(
                    fact=key,
                    text=definition.question,
                    decides=definition.decides,
                    tasks=tuple(asked.tasks[key]),
                    safe_default=definition.safe_default or None,
                    readings=definition.readings,
                )
            )
    return tuple(found)


def _findings(catalogue: Catalogue, facts: Facts, filling: Filling) -> Iterator[Finding]:
    for entry in catalogue.findings.values():
        if entry.when.truth(facts) == TRUE:
            read = sorted({key for each in entry.when.comparisons() for key in (each.key, each.other) if key})
            yield Finding(entry.key, filling.text(entry.text), tuple(read), entry.source)
