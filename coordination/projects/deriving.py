"""The plan that follows from facts, with the catalogue this program carries and the rules laid down besides."""

from functools import lru_cache

from coordination.access.refusals import Reason
from coordination.projects.refusals import RulesRefused
from coordination.siteprep.catalogue import Catalogue, load_catalogue
from coordination.siteprep.facts import Facts
from coordination.siteprep.plan import Plan, derive, plan_from_json
from coordination.siteprep.toml_tables import CatalogueError, RuleFile


def plan_of(facts: Facts, *rules: RuleFile) -> Plan:
    """What siteprep derives from ``facts`` today. Raises RulesRefused, as where rules wait for each other in a ring."""
    catalogue = catalogue_with(*rules)
    try:
        return derive(facts, catalogue)
    except CatalogueError as error:
        raise refused(error) from None


def catalogue_with(*rules: RuleFile) -> Catalogue:
    """The catalogue with ``rules``. Raises RulesRefused, which names file, entry and key."""
    try:
        return load_catalogue(*rules)
    except CatalogueError as error:
        raise refused(error) from None


def refused(error: CatalogueError) -> RulesRefused:
    """The refusal that says what is wrong with rules, and where."""
    where = {"file": error.file, "entry": error.entry, "key": error.key, "why": error.reason}
    return RulesRefused(Reason("rules cannot be used", where))


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
