"""Site facts: the door for everybody outside. Types, definitions and reading live in the modules named here."""

from coordination.siteprep.fact_definitions import DEFAULT_LANDINGS, definitions, groups
from coordination.siteprep.fact_reading import load_facts, read_facts
from coordination.siteprep.fact_types import (
    AUTHORITIES,
    STATES,
    WALLS,
    WEEKDAYS,
    Fact,
    FactDefinition,
    Facts,
    Group,
    State,
    Value,
)
from coordination.siteprep.faults import FactErrors, Fault

__all__ = [
    "AUTHORITIES",
    "DEFAULT_LANDINGS",
    "STATES",
    "WALLS",
    "WEEKDAYS",
    "Fact",
    "FactDefinition",
    "FactErrors",
    "Facts",
    "Fault",
    "Group",
    "State",
    "Value",
    "definitions",
    "groups",
    "load_facts",
    "read_facts",
]
