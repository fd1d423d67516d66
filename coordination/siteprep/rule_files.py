"""What a file of local or company rules brings, entry by entry, for whoever decides whether to use it."""

from collections.abc import Iterator
from dataclasses import dataclass

from coordination.siteprep.catalogue import Catalogue
from coordination.siteprep.toml_tables import RuleFile, Text, read_rules

KINDS = {"task": "entry", "addition": "task", "gate": "key", "finding": "key"}


@dataclass(frozen=True)
class RuleBrought:
    """An entry of a file: kind "task", "addition", "gate" or "finding", its key and its text in the catalogue.

    ``replaces`` says that it takes the place of an entry of the same name.
    """

    kind: str
    key: str
    text: Text
    replaces: bool = False


def brought_by(rules: RuleFile, catalogue: Catalogue) -> tuple[RuleBrought, ...]:
    """What ``rules`` bring to ``catalogue``, which was loaded with them. Raises CatalogueError."""
    return tuple(_brought(rules, catalogue))


def _brought(rules: RuleFile, catalogue: Catalogue) -> Iterator[RuleBrought]:
    content = read_rules(rules)
    texts = {
        "task": {key: each.text for key, each in catalogue.tasks.items()},
        "gate": {key: each.text for key, each in catalogue.gates.items()},
        "finding": {key: each.text for key, each in catalogue.findings.items()},
    }
    for kind, name in KINDS.items():
        for entry in content.get(kind, ()):
            key = str(entry[name])
            text = texts["task" if kind == "addition" else kind][key]
            yield RuleBrought(kind, key, text, bool(entry.get("replace")))
