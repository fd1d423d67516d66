"""Work out the dates of a network on its own, without a project."""

from argparse import ArgumentParser
from typing import Any

from coordination.console.answering import Answering
from coordination.console.json_output import as_json_text
from coordination.console.network_files import network_faults, network_of
from coordination.console.schedule_lines import schedule_text
from coordination.scheduling.critical_path import schedule
from coordination.scheduling.results_json import schedule_as_json


class Command(Answering):
    help = "Read a network (tasks, links, calendars) from JSON and print early and late dates and floats."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("network", metavar="NETWORK.json", help="a network; - for standard input")
        parser.add_argument("--json", action="store_true", help="print the schedule as JSON")

    def answer(self, *, network: str, **options: Any) -> str:
        document = network_of(network)
        with network_faults(network):
            found = schedule(document.network)
            return as_json_text(schedule_as_json(found)) if options["json"] else schedule_text(found)
