"""Facts between siteprep and the database: values as JSON, entries as statements."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from coordination.projects.models import FactEntry
from coordination.siteprep.facts import Fact, FactDefinition, Value

OF_SEVERAL = frozenset({"days", "lengths", "landings"})


@dataclass(frozen=True)
class FactInput:
    """What somebody states of one fact, as a form or a file gives it. Unknown goes without ``typed``."""

    state: str = "known"
    typed: Any = None
    source: str = ""
    said_by: str = ""

    def statement(self, visitor_name: str) -> dict[str, Any]:
        """The form that ``read_facts`` takes."""
        told = {"state": self.state, "source": self.source, "said_by": self.said_by or visitor_name}
        return told if self.typed is None else {**told, "value": self.typed}


def inputs_from(facts: Mapping[str, Fact]) -> dict[str, FactInput]:
    """What was stated in ``facts``, or printed on a model's data sheet (its ``figures``), ready to be entered.

    What nobody stated is left out.
    """
    return {
        fact.key: FactInput(fact.state, fact.typed or None, fact.source, fact.said_by)
        for fact in facts.values()
        if fact.state != "unknown" or fact.said_by or fact.source
    }


def as_stored(value: Value | None) -> Any:
    """A fact's value as JSON: a date as ISO text, several as a list."""
    if isinstance(value, date):
        return value.isoformat()
    return list(value) if isinstance(value, tuple) else value


def as_value(definition: FactDefinition, stored: Any) -> Value | None:
    """The value that ``as_stored`` wrote, for a fact of this kind."""
    if stored is None:
        return None
    if definition.kind == "date":
        return date.fromisoformat(stored)
    return tuple(stored) if definition.kind in OF_SEVERAL else stored  # type: ignore[no-any-return]


def facts_from(entries: Iterable[FactEntry], definitions: Mapping[str, FactDefinition]) -> list[Fact]:
    """Entries as siteprep's facts; those that nobody asks for any more are left out."""
    return [
        Fact(
            key=entry.key,
            state=entry.state,
            value=as_value(definitions[entry.key], entry.value),
            typed=entry.typed,
            said_by=entry.said_by,
            source=entry.source,
        )
        for entry in entries
        if entry.key in definitions
    ]
