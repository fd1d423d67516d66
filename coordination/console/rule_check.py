"""The rules over one project: what was looked at, and what does not hold."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.access.models import Project
from coordination.console.lines import Line
from coordination.console.rule_words import RULES as NAMES
from coordination.console.rule_words import breach_words
from coordination.gates.rules import RULES, Breach, Case
from coordination.gates.rules.case import open_case


@dataclass(frozen=True)
class Looked:
    """The answer for one project. ``seen`` says by rule what was looked at."""

    name: str
    seen: dict[int, str]
    breaches: list[Breach]


def look(project: Project, at: datetime) -> Looked:
    """Check every rule on ``project``; the same as ``gates.rules.check_rules``, with what was looked at."""
    case = open_case(project, at)
    breaches = sorted(breach for rule in RULES for breach in rule(case))
    return Looked(f"{project.name} ({project.uid})", _seen(case), breaches)


def lines_of(looked: Looked) -> Iterator[Line]:
    """The project, each rule with what was looked at, and each breach under its rule."""
    yield 0, looked.name
    for rule, name in NAMES.items():
        broken = [breach for breach in looked.breaches if breach.rule == rule]
        told = _("%(count)d BROKEN") % {"count": len(broken)} if broken else _("holds")
        yield 1, f"{rule:2d}  {name}: {looked.seen[rule]}: {told}"
        yield from ((2, breach_words(breach)) for breach in broken)


def _seen(case: Case) -> dict[int, str]:
    holding = case.scene.holding
    begun = [task for task in holding.tasks if task.begun_on and not task.is_gate]
    provisional = [task for task in holding.tasks if task.provisional and task.retired_in is None]
    originals = [row for row in case.evidence if row.blob_id]
    releases = [row for row in holding.requirements if row.release == "elevator"]

    def count(number: int, words: str) -> str:
        return words % number

    begun_words = count(len(begun), ngettext("%d task begun", "%d tasks begun", len(begun)))
    decisions = count(len(case.decisions), ngettext("%d decision", "%d decisions", len(case.decisions)))
    reviews = count(len(case.reviews), ngettext("%d review", "%d reviews", len(case.reviews)))
    concessions = len(case.concessions)
    return {
        1: f"{begun_words}, {count(concessions, ngettext('%d concession', '%d concessions', concessions))}",
        2: decisions,
        3: count(len(case.clearings), ngettext("%d clearing", "%d clearings", len(case.clearings))),
        4: count(len(originals), ngettext("%d original", "%d originals", len(originals))),
        5: count(len(provisional), ngettext("%d provisional task", "%d provisional tasks", len(provisional))),
        6: decisions,
        7: count(
            len(holding.requirements),
            ngettext("%d requirement", "%d requirements", len(holding.requirements)),
        ),
        8: count(len(releases), ngettext("%d document", "%d documents", len(releases))),
        9: f"{count(len(case.evidence), ngettext('%d entry', '%d entries', len(case.evidence)))}, {reviews}",
        10: f"{reviews}, {count(len(case.offers), ngettext('%d offer', '%d offers', len(case.offers)))}",
    }
