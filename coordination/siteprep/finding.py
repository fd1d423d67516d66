"""Findings of a plan: stated figures that do not fit each other, by condition or by calculation."""

from collections.abc import Iterator, Mapping

from coordination.siteprep.catalogue import Catalogue
from coordination.siteprep.checking import Worked, worked_findings
from coordination.siteprep.conditions import TRUE
from coordination.siteprep.entries import FindingEntry
from coordination.siteprep.fact_types import Facts
from coordination.siteprep.filling import Filling, amount
from coordination.siteprep.plan_parts import Finding


def findings(catalogue: Catalogue, facts: Facts, filling: Filling) -> tuple[Finding, ...]:
    """Return the findings of a job in the order of the catalogue."""
    worked = {each.key: each for each in worked_findings(facts)}
    return tuple(
        found
        for entry in catalogue.findings.values()
        for found in (
            _calculated(entry, worked, filling) if entry.worked else _conditional(entry, facts, filling)
        )
    )


def _conditional(entry: FindingEntry, facts: Facts, filling: Filling) -> Iterator[Finding]:
    if entry.when.truth(facts) == TRUE:
        read = sorted({key for each in entry.when.comparisons() for key in (each.key, each.other) if key})
        yield Finding(entry.key, filling.text(entry.text), tuple(read), entry.source)


def _calculated(entry: FindingEntry, worked: Mapping[str, Worked], filling: Filling) -> Iterator[Finding]:
    if said := worked.get(entry.key):
        told = {
            "{finding.found}": amount(said.found, said.unit, filling.facts.units),
            "{finding.limit}": amount(said.limit, said.unit, filling.facts.units),
        }
        text = {language: _put(line, told) for language, line in entry.text.items()}
        yield Finding(entry.key, filling.text(text), said.facts, said.source)


def _put(line: str, told: Mapping[str, str]) -> str:
    for name, words in told.items():
        line = line.replace(name, words)
    return line
