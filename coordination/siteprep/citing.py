"""What a source is called where its code is not adopted: a figure of one set is only planning practice in another."""

from dataclasses import replace
from functools import lru_cache
from typing import TypeVar

from coordination.siteprep.plan_parts import Finding, Plan, Quantity, Requirement
from coordination.siteprep.sources import Source
from coordination.siteprep.toml_tables import CATALOGUE_FOLDER, read_toml

Sourced = TypeVar("Sourced", Requirement, Finding, Quantity)


def cited(plan: Plan) -> Plan:
    """Return the plan with every source as it may be cited under its code set; the US set is left as it is."""
    if plan.code_set == "us":
        return plan
    return replace(
        plan,
        tasks=tuple(
            replace(
                task,
                sources=_abroad_all(task.sources),
                requirements=tuple(_abroad_of(each) for each in task.requirements),
            )
            for task in plan.tasks
        ),
        gates=tuple(replace(gate, sources=_abroad_all(gate.sources)) for gate in plan.gates),
        findings=tuple(_abroad_of(each) for each in plan.findings),
        quantities=tuple(_abroad_of(each) for each in plan.quantities),
    )


def abroad(source: Source) -> Source:
    """Return how a source is cited outside its own code set: what it says is practice there, to be confirmed."""
    for beginning, confirm in _us_documents().items():
        if source.document.startswith(beginning):
            return Source("planning practice taken from US codes", str(source), "practice", confirm)
    return source


def _abroad_all(sources: tuple[Source, ...]) -> tuple[Source, ...]:
    return tuple(abroad(source) for source in sources)


def _abroad_of(thing: Sourced) -> Sourced:
    return replace(thing, source=abroad(thing.source))


@lru_cache(maxsize=1)
def _us_documents() -> dict[str, str]:
    found: dict[str, str] = read_toml(CATALOGUE_FOLDER / "sets.toml")["us"]
    return found
