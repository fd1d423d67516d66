"""Run one calculation of the trade on its own, without a project."""

from argparse import ArgumentParser
from typing import Any

from django.utils.translation import gettext as _

from coordination.console.answering import Answering
from coordination.console.calculation_lines import explanation, listing
from coordination.console.json_input import read_json
from coordination.console.json_output import as_json_text
from coordination.console.lines import as_text
from coordination.console.refused import Refused
from coordination.siteprep.calculations.inputs import InputErrors
from coordination.siteprep.calculations.registry import CALCULATIONS, Calculation
from coordination.siteprep.calculations.values import OutOfTable


class Command(Answering):
    help = "Calculate NAME from a JSON object and print the result as JSON, each value with unit and source."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("name", nargs="?", metavar="NAME", help="which calculation; see --list")
        parser.add_argument("input", nargs="?", metavar="INPUT.json", help="inputs; - for standard input")
        what = parser.add_mutually_exclusive_group()
        what.add_argument("--list", action="store_true", help="name the calculations")
        what.add_argument(
            "--explain", metavar="NAME", help="inputs, units, limits, results, sources, an example"
        )
        what.add_argument("--example", metavar="NAME", help="print inputs that can be calculated with")
        parser.add_argument("--json", action="store_true", help="--list and --explain as JSON too")

    def answer(self, **options: Any) -> str:
        if options["list"]:
            return as_json_text(list(CALCULATIONS)) if options["json"] else as_text(listing())
        if options["explain"]:
            found = _named(options["explain"])
            return as_json_text(found.explain()) if options["json"] else as_text(explanation(found))
        if options["example"]:
            return as_json_text(_named(options["example"]).example)
        return as_json_text(_result(options["name"], options["input"]))


def _result(name: str | None, given: str | None) -> Any:
    if name is None or given is None:
        raise Refused(
            _("calculate"), [_("give NAME and INPUT.json, or - for standard input; --list names them")]
        )
    calculation = _named(name)
    try:
        return calculation.run(read_json(given))
    except InputErrors as errors:
        raise Refused(given, map(str, errors.problems)) from None
    except OutOfTable as fault:
        raise Refused(given, [str(fault)]) from None


def _named(name: str) -> Calculation:
    if name not in CALCULATIONS:
        raise Refused(name, [_("there is no such calculation; write one of: %s") % ", ".join(CALCULATIONS)])
    return CALCULATIONS[name]
