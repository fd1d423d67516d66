"""The plan that follows from facts, with the catalogue this program carries."""

from functools import lru_cache

from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import Facts
from coordination.siteprep.plan import Plan, derive, plan_from_json


def plan_of(facts: Facts) -> Plan:
    """What siteprep derives from ``facts`` today."""
    return derive(facts, load_catalogue())


@lru_cache(maxsize=32)
def read_plan(text: str) -> Plan:
    """A plan as it was kept. Plans are frozen, so the same text may be read once for everybody."""
    return plan_from_json(text)


def empty_plan(code_set: str) -> Plan:
    """The plan of a project before its first one is accepted."""
    return Plan(
        places=(),
        tasks=(),
        links=(),
        gates=(),
        questions=(),
        quantities=(),
        packages=(),
        code_set=code_set,
        catalogue_sha="",
    )
