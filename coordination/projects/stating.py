"""Reading what somebody states against what stands, before anything is kept."""

from collections.abc import Mapping
from datetime import date

from coordination.access.models import Project
from coordination.projects.fact_values import FactInput, facts_from
from coordination.projects.models import FactEntry
from coordination.projects.public_holidays import UnknownRegion, public_holidays
from coordination.projects.refusals import FactsRefused
from coordination.siteprep.fact_checks import contradictions
from coordination.siteprep.facts import (
    DEFAULT_LANDINGS,
    Fact,
    FactErrors,
    Facts,
    Fault,
    definitions,
    read_facts,
)

FIRST_DAY, LAST_DAY = date(2000, 1, 1), date(2100, 12, 31)
CONTEXT = ("landings", "job.units", "job.code_set")


def newest_entries(project: Project) -> dict[str, FactEntry]:
    """The standing entry of each fact that anybody has stated."""
    entries = FactEntry.objects.filter(project=project).order_by("seq")
    return {entry.key: entry for entry in entries}


def facts_of(project: Project, entries: Mapping[str, FactEntry]) -> Facts:
    """Standing entries as facts; the project's own code set stands until somebody states another."""
    landings = entries["landings"].value if "landings" in entries else None
    code_set = entries["job.code_set"].value if "job.code_set" in entries else None
    asked = definitions(landings or DEFAULT_LANDINGS, code_set or project.code_set)
    stated = facts_from(entries.values(), asked)
    if code_set is None:
        stated.append(Fact("job.code_set", "known", project.code_set, project.code_set))
    return Facts([fact for fact in stated if fact.key != "job.code_set" or fact.value], asked)


def stated_facts(standing: Facts, inputs: Mapping[str, FactInput], said_by: str) -> tuple[Facts, Facts]:
    """(what ``inputs`` say, everything that would then stand).

    Raises FactsRefused with every fault: of the entries, and of the whole that they would make.
    """
    told = {key: fact for key, fact in standing.statements().items() if key in CONTEXT}
    told |= {key: entry.statement(said_by) for key, entry in inputs.items()}
    try:
        said = read_facts(told)
    except FactErrors as errors:
        raise FactsRefused(*errors.faults) from None
    kept = [fact for fact in standing.values() if fact.key not in inputs and fact.key in said.definitions]
    whole = Facts([*kept, *(said[key] for key in inputs)], said.definitions)
    if faults := [*contradictions(whole), *_unknown_region(whole), *_far_away(whole)]:
        raise FactsRefused(*faults)
    return said, whole


def _unknown_region(facts: Facts) -> list[Fault]:
    region = facts.value("calendar.holidays")
    try:
        if region is not None:
            public_holidays(str(region), 2026, 2026)
    except UnknownRegion:
        example = facts.definitions["calendar.holidays"].form_example
        return [Fault("calendar.holidays", "wrong-form", {"typed": str(region), "example": example})]
    return []


def _far_away(facts: Facts) -> list[Fault]:
    """A first day that no calendar reaches is a slip of the pen."""
    start = facts.value("calendar.start")
    if not isinstance(start, date) or FIRST_DAY <= start <= LAST_DAY:
        return []
    told = {"typed": start.isoformat(), "source": ""}
    if start < FIRST_DAY:
        return [Fault("calendar.start", "below-least", {**told, "low": FIRST_DAY.isoformat()})]
    return [Fault("calendar.start", "above-greatest", {**told, "high": LAST_DAY.isoformat()})]
