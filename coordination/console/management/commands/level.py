"""Level the jobs of an open .sm instance over its crews."""

import sys
from argparse import ArgumentParser
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.console.answering import Answering, read_text, whole_number
from coordination.console.json_output import as_json_text
from coordination.console.levelling_run import level_for, levelling_as_json
from coordination.console.lines import table
from coordination.console.network_files import network_faults
from coordination.scheduling.levelling.sm_format import read_sm


class Command(Answering):
    help = "Find a short schedule for a PSPLIB .sm file; stop early with Ctrl-C and keep the best so far."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("instance", metavar="FILE.sm", help="single-mode instance; - for standard input")
        parser.add_argument("--seconds", type=whole_number(1, 86_400), default=5, help="time for the search")
        parser.add_argument("--workers", type=whole_number(1, 64), default=2, help="processor cores to use")
        parser.add_argument("--seed", type=whole_number(0, 2**31 - 2), default=1)
        parser.add_argument("--json", action="store_true", help="print makespan, bound and starts as JSON")

    def answer(self, *, instance: str, seconds: int, workers: int, seed: int, **options: Any) -> str:
        watched = sys.stderr.isatty() or options["verbosity"] > 1

        def begun() -> None:
            if watched:
                self.stderr.write(_("Searching for %d s; Ctrl-C keeps the best so far.") % seconds)

        with network_faults(instance):
            problem = read_sm(read_text(instance))
            found = level_for(problem, seconds, workers=workers, seed=seed, begun=begun)
        told = levelling_as_json(problem, found)
        return as_json_text(told) if options["json"] else _text(told)


def _text(told: dict[str, Any]) -> str:
    length = told["makespan"]
    days = ngettext("%d day", "%d days", length) % length
    bound = _("no schedule is shorter than %d") % told["bound"]
    rows = [
        [job, str(day)]
        for job, day in sorted(told["starts"].items(), key=lambda item: (item[1], int(item[0])))
    ]
    return "\n".join(
        [f"{days}; {bound}", "", *table([_("job"), _("starts on day")], rows, right=frozenset({0, 1}))]
    )
