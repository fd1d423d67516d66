"""What a task must show on this job: requirements with their limits, and what is still open about them."""

from collections.abc import Iterator

from coordination.siteprep.conditions import Condition, Truth
from coordination.siteprep.entries import Bound, RequirementEntry, TaskEntry
from coordination.siteprep.fact_types import Facts
from coordination.siteprep.filling import Filling
from coordination.siteprep.plan_parts import Number, Place, Requirement
from coordination.siteprep.series_reading import series_of


def truth_at(condition: Condition, place: Place, facts: Facts) -> Truth:
    """Evaluate a condition at a place; {landing} in it is the landing of the place."""
    return condition.at(place.landing).truth(facts) if place.landing else condition.truth(facts)


def requirements(entry: TaskEntry, task: str, place: Place, here: Filling) -> Iterator[Requirement]:
    """Yield the requirements that apply, or may apply, to a task at a place."""
    for each in entry.requirements:
        applies = truth_at(each.when, place, here.facts)
        if applies.value is not False:
            yield _requirement(each, task, place, here, applies.unknown)


def _requirement(
    entry: RequirementEntry, task: str, place: Place, here: Filling, unknown: frozenset[str]
) -> Requirement:
    low, high, nominal, open_facts = _limits(entry, place, here)
    series, open_rows = series_of(entry.series, here)
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
        signer=entry.signer,
        because=tuple(sorted(unknown | open_facts | frozenset(open_rows))),
        series=series,
        inspection=entry.inspection,
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
    return low, high, nominal, frozenset(fact for _, unknown in bounds for fact in unknown)


def _rounded(limit: Number, nominal: Number) -> Number:
    """Keep whole numbers whole: a nanometre, a volt."""
    return round(limit) if isinstance(nominal, int) else limit


def _figure(bound: Bound, place: Place, here: Filling) -> tuple[Number | None, tuple[str, ...]]:
    """Return the number of a bound and the unknown facts that it leans on."""
    if bound.quantity:
        return here.figure(bound.quantity), here.wanting(bound.quantity)
    if not bound.fact:
        return bound.number, ()
    key = bound.fact.replace("{landing}", place.landing or "")
    value = here.facts.reckoned(key)
    number = value if isinstance(value, int | float) and not isinstance(value, bool) else None
    return number, (key,) if here.facts.value(key) is None else ()
