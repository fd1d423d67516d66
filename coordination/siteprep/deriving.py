"""Deriving a plan from facts and catalogue: pure, deterministic, whatever order the facts came in.

An unknown fact is never silently false: what depends on it is planned as provisional, and a question says
who decides.
"""

from collections.abc import Iterator

from coordination.siteprep.asking import Asked, questions
from coordination.siteprep.catalogue import Catalogue
from coordination.siteprep.citing import cited
from coordination.siteprep.conditions import ALWAYS, Truth, both
from coordination.siteprep.entries import TaskEntry, VariantEntry
from coordination.siteprep.fact_types import Facts
from coordination.siteprep.filling import Filling
from coordination.siteprep.finding import findings
from coordination.siteprep.gating import gates_of
from coordination.siteprep.joining import Ground, links_between, once, refuse_rings
from coordination.siteprep.placing import place_of, places_of
from coordination.siteprep.plan_parts import Place, Plan, Task, WitnessPoint
from coordination.siteprep.quantities import leaning, missing, quantities
from coordination.siteprep.requiring import requirements, truth_at

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


def derive(facts: Facts, catalogue: Catalogue) -> Plan:
    """Return everything that follows from ``facts``. The same facts and rules give the same plan.

    Raises CatalogueError where rules added from outside wait for each other in a ring.
    """
    asked = Asked()
    places = places_of(facts)
    figures = quantities(facts, catalogue.quantities)
    filling = Filling(facts, figures, leaning(facts))
    tasks = _tasks(catalogue, places, filling, asked)
    ground = Ground(catalogue, _by_entry(tasks), {place.key: place for place in places})
    gates, milestones, gate_links = gates_of(ground, filling, asked)
    links = once([*links_between(ground, filling, asked), *gate_links])
    refuse_rings([task.key for task in (*tasks, *milestones)], links)
    asked.note((*missing(facts), *_WHOLE_JOB))
    order = {key: package.order for key, package in catalogue.packages.items()}
    plan = Plan(
        places=places,
        tasks=tuple(sorted((*tasks, *milestones), key=lambda task: order[task.package])),
        links=links,
        gates=gates,
        questions=questions(facts, asked),
        quantities=tuple(filling.worded(figure) for figure in figures),
        packages=tuple(filling.worded(package) for package in catalogue.packages.values()),
        code_set=facts.code_set,
        catalogue_sha=catalogue.sha256,
        findings=findings(catalogue, facts, filling),
        drawing_revision=str(facts.value("lift.drawing_revision") or ""),
        cautions={key: filling.text(text) for key, text in catalogue.cautions.items()},
    )
    return cited(plan)


def _tasks(catalogue: Catalogue, places: tuple[Place, ...], filling: Filling, asked: Asked) -> list[Task]:
    found = (
        _task(entry, place, filling, asked)
        for entry in catalogue.tasks.values()
        for place in _where(entry, places)
    )
    return [task for task in found if task is not None]


def _by_entry(tasks: list[Task]) -> dict[str, list[Task]]:
    found: dict[str, list[Task]] = {}
    for task in tasks:
        found.setdefault(task.entry, []).append(task)
    return found


def _where(entry: TaskEntry, places: tuple[Place, ...]) -> Iterator[Place]:
    """Yield the places at which an entry may stand."""
    if entry.spread == "opening":
        yield from (place for place in places if place.side)
    elif entry.spread == "landing":
        yield from (place for place in places if place.kind == "landing" and place.side != "rear")
    else:
        yield from (place for place in places if place.key == place_of(entry.place))


def _stands(entry: TaskEntry, place: Place, facts: Facts) -> Truth:
    """Say whether a task is there at all: its condition, its opening, and the list of landings itself."""
    truth = truth_at(entry.when, place, facts)
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


def _words(entry: TaskEntry, place: Place, facts: Facts) -> tuple[VariantEntry, frozenset[str]]:
    """Return the words of a task on this job, and the unknown facts that may call for others."""
    undecided: frozenset[str] = frozenset()
    for variant in entry.variants:
        truth = truth_at(variant.when, place, facts)
        if truth.value is True:
            text, first_line = variant.text or entry.text, variant.first_line or entry.first_line
            return VariantEntry(variant.when, text, first_line), undecided
        undecided |= truth.unknown
    return VariantEntry(ALWAYS, entry.text, entry.first_line), undecided


def _task(entry: TaskEntry, place: Place, filling: Filling, asked: Asked) -> Task | None:
    stands = _stands(entry, place, filling.facts)
    if stands.value is False:
        return None
    key = f"{entry.entry}@{place.key}"
    here = filling.at(place)
    shown = tuple(requirements(entry, key, place, here))
    words, undecided = _words(entry, place, here.facts)
    text, first_line = here.text(words.text), here.text(words.first_line)
    because = tuple(sorted(stands.unknown))
    asked.note(
        (*because, *(fact for each in shown for fact in each.because), *here.unknown, *sorted(undecided)), key
    )
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
        requirements=shown,
        cautions=entry.cautions,
        sources=entry.sources,
        provisional=stands.value is None,
        because=because,
        was=tuple(f"{old}@{place.key}" for old in entry.was),
        witness=tuple(
            WitnessPoint(each.key, each.party, here.text(each.text), each.source, each.notice_days)
            for each in entry.witness
        ),
    )
