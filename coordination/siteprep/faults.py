"""What is wrong with something entered: a fact's key, the kind of fault, and its particulars.

The sentences are catalogue texts (``catalogue/faults.toml``); a shell may print ``wrong`` and
``right`` as they are, or ask for another language.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from coordination.siteprep.toml_tables import CATALOGUE_FOLDER, Table, Text, read_toml


@dataclass(frozen=True)
class Fault:
    """One complaint about one fact. ``kind`` is a key of ``faults.toml``."""

    fact: str
    kind: str
    arguments: Mapping[str, str] = field(default_factory=dict)

    @property
    def wrong(self) -> str:
        """What is wrong, in English."""
        return self.says("en")[0]

    @property
    def right(self) -> str:
        """What would be right, in English."""
        return self.says("en")[1]

    def says(self, language: str) -> tuple[str, str]:
        """Return what is wrong and what would be right, in ``language`` or else in English."""
        wrong, right = _sentences()[self.kind]
        return (
            wrong.get(language, wrong["en"]).format_map(self.arguments),
            right.get(language, right["en"]).format_map(self.arguments),
        )

    def __str__(self) -> str:
        return f"{self.fact}: {self.wrong}; {self.right}"


class FactErrors(ValueError):
    """Everything that is wrong with a set of facts, all at once, in the order of the form."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


@lru_cache(maxsize=1)
def _sentences() -> dict[str, tuple[Text, Text]]:
    content = read_toml(CATALOGUE_FOLDER / "faults.toml")
    found = {}
    for kind, sentences in content.items():
        table = Table("faults.toml", kind, sentences)
        found[kind] = (table.text("wrong"), table.text("right"))
        table.done()
    return found
