"""Checks the rules that must never break over everything that stands on a project, trusting no action.

Each module holds the rules it is named after; ``check_rules`` asks all of them.
"""

from datetime import datetime

from coordination.access.models import Project
from coordination.gates.rules.case import Breach, Case, open_case
from coordination.gates.rules.clearings import clearings_stand
from coordination.gates.rules.concessions import concessions_were_granted
from coordination.gates.rules.holds import holds_were_decided
from coordination.gates.rules.originals import originals_are_whole
from coordination.gates.rules.plans import figures_name_their_source, questions_stay_open
from coordination.gates.rules.record import rows_say_what_was_decided
from coordination.gates.rules.rights import deciders_had_the_right
from coordination.gates.rules.starts import work_began_rightly
from coordination.gates.rules.words import silence_never_accepted

RULES = (
    work_began_rightly,
    concessions_were_granted,
    rows_say_what_was_decided,
    clearings_stand,
    originals_are_whole,
    questions_stay_open,
    deciders_had_the_right,
    figures_name_their_source,
    silence_never_accepted,
    holds_were_decided,
)

__all__ = ["RULES", "Breach", "Case", "check_rules"]


def check_rules(project: Project, at: datetime) -> list[Breach]:
    """Every place where a rule does not hold, in the order of the rules; empty when all of them do."""
    case = open_case(project, at)
    return sorted(breach for rule in RULES for breach in rule(case))
