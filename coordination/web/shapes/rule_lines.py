"""Rules in force as lines of a page: what each file brings, in words, and what it rests on."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext_lazy

from coordination.access.sentences import sentence
from coordination.projects.local_rules import RulesInForce
from coordination.projects.sentences import SENTENCES
from coordination.siteprep.rule_files import RuleBrought
from coordination.siteprep.wording import fill, is_word
from coordination.web.shapes.sheet_sources import shown_source
from coordination.web.texts import said

KINDS = {
    ("task", False): gettext_lazy("a task of its own"),
    ("task", True): gettext_lazy("takes the place of the catalogue’s task"),
    ("addition", False): gettext_lazy("asks more of"),
    ("gate", False): gettext_lazy("a gate of its own"),
    ("gate", True): gettext_lazy("takes the place of the catalogue’s gate"),
    ("finding", False): gettext_lazy("says, where it is so"),
    ("finding", True): gettext_lazy("takes the place of the catalogue’s finding"),
}


@dataclass(frozen=True)
class BroughtLine:
    """An entry of the file: what it does, and the name of what it does it to."""

    what: str
    name: str


@dataclass(frozen=True)
class RulesLine:
    """Rules in force. ``trouble`` is a sentence where they cannot be used any more."""

    name: str
    sha256: str
    since: datetime
    by: str
    brings: tuple[BroughtLine, ...]
    sources: tuple[str, ...]
    trouble: str


def rule_lines(rules: Iterable[RulesInForce], code_set: str) -> list[RulesLine]:
    """One line for each file in force."""
    return [
        RulesLine(
            each.name,
            each.sha256,
            each.since,
            each.by,
            tuple(_brought(entry, code_set) for entry in each.brings),
            tuple(map(shown_source, each.sources)),
            " ".join(sentence(reason, SENTENCES) for reason in each.trouble.reasons) if each.trouble else "",
        )
        for each in rules
    ]


def _brought(entry: RuleBrought, code_set: str) -> BroughtLine:
    kind = KINDS[entry.kind, entry.replaces]
    return BroughtLine(str(kind), said(fill(entry.text, code_set, _open)))


def _open(name: str, language: str) -> str | None:
    """Figures of the job stay open here: the rules are read, not yet planned with."""
    return None if is_word(name) else "…"
