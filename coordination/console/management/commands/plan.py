"""Derive the plan of one job from a file of site facts."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import override

from coordination.console.answering import Answering
from coordination.console.fact_files import facts_of, rules_named_in
from coordination.console.lines import as_text
from coordination.console.plan_lines import plan_lines
from coordination.console.refused import Refused
from coordination.projects.trade_words import speaking
from coordination.siteprep.catalogue import Catalogue, load_catalogue
from coordination.siteprep.facts import Facts
from coordination.siteprep.plan import Plan, derive
from coordination.siteprep.toml_tables import LANGUAGES, CatalogueError


class Command(Answering):
    help = "Read site facts (or a whole job) from a TOML file and print the plan that follows from them."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("facts", type=Path, metavar="FACTS.toml", help="site facts, or a job file")
        form = parser.add_mutually_exclusive_group()
        form.add_argument("--json", action="store_true", help="print the plan as canonical JSON")
        form.add_argument("--check", action="store_true", help="only read the facts and say what is known")
        parser.add_argument(
            "--language", choices=LANGUAGES, default="en", help="language of the printed plan"
        )
        parser.add_argument(
            "--rules",
            type=Path,
            action="append",
            default=[],
            metavar="RULES.toml",
            help="local or company rules besides the catalogue; may be given several times",
        )

    def answer(self, *, facts: Path, language: str, rules: list[Path], **options: Any) -> str:
        with override(language):
            read = facts_of(facts)
            plan = _plan(read, [*rules_named_in(facts), *rules])
            if options["check"]:
                return _known(read)
            with speaking(plan.code_set):
                return plan.as_json() if options["json"] else as_text(plan_lines(plan, read))


def _plan(facts: Facts, rules: list[Path]) -> Plan:
    try:
        catalogue: Catalogue = load_catalogue(*rules)
        return derive(facts, catalogue)
    except CatalogueError as error:
        raise Refused(error.file, [f"{error.entry}: {error.key}: {error.reason}"]) from None


def _known(facts: Facts) -> str:
    states = [fact.state for fact in facts.values()]
    counts = {state: states.count(state) for state in ("known", "assumed", "unknown")}
    return _("Every fact can be used: %(known)d known, %(assumed)d assumed, %(unknown)d unknown.") % counts
