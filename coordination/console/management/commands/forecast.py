"""Say how sure the dates of a network are, on its own, without a project."""

from argparse import ArgumentParser, ArgumentTypeError
from typing import Any, get_args

from django.utils.translation import gettext as _

from coordination.console.answering import Answering, whole_number
from coordination.console.forecast_results import forecast_as_json, forecast_text
from coordination.console.json_output import as_json_text
from coordination.console.network_files import network_faults, network_of
from coordination.scheduling.estimates import Curve, Points, Shape
from coordination.scheduling.forecast import Settings, forecast

USUAL = Settings()


class Command(Answering):
    help = "Run a network many times with sampled durations and print the days that are kept with 10 to 90 %."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("network", metavar="NETWORK.json", help="a network; - for standard input")
        parser.add_argument("--json", action="store_true", help="print the forecast as JSON")
        parser.add_argument("--samples", type=whole_number(1, 200_000), default=USUAL.samples)
        parser.add_argument("--seed", type=whole_number(0, 2**32 - 1), default=USUAL.seed)
        parser.add_argument(
            "--causes",
            type=_correlation,
            default=USUAL.causes,
            help="correlation of tasks that share a cause",
        )
        parser.add_argument("--shape", choices=get_args(Shape), default=USUAL.curve.shape)
        parser.add_argument(
            "--points",
            choices=get_args(Points),
            default=USUAL.curve.points,
            help="what low and high stand for",
        )

    def answer(self, *, network: str, **options: Any) -> str:
        document = network_of(network)
        curve = Curve(options["shape"], options["points"])
        settings = Settings(options["samples"], options["seed"], options["causes"], curve)
        gates = [task.key for task in document.network.tasks if task.milestone]
        with network_faults(network):
            found = forecast(document.network, document.estimates, document.causes, settings, gates)
        if options["json"]:
            return as_json_text(forecast_as_json(document.network, found))
        return forecast_text(document.network, found)


def _correlation(typed: str) -> float:
    try:
        number = float(typed)
    except ValueError:
        number = -1.0
    if not 0 <= number <= 1:
        raise ArgumentTypeError(_("%(typed)r is not a number from 0 to 1") % {"typed": typed})
    return number
