"""Do the background work until stopped."""

import signal
import threading
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from coordination.background.running import run_forever, run_until_idle
from coordination.console.background_work import WORKS
from coordination.files import keeping


class Command(BaseCommand):
    help = "Do the background work (pictures, papers, mails) until stopped, or until nothing is due."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--until-idle", action="store_true", help="stop when nothing is due")

    def handle(self, *args: Any, until_idle: bool, **options: Any) -> None:
        keeping.sweep()
        if until_idle:
            for tried in run_until_idle(WORKS, timezone.now()):
                self.stdout.write(f"{tried.kind} {tried.key}: {tried.error or 'done'}")
            return
        stop = threading.Event()
        for sign in (signal.SIGINT, signal.SIGTERM):
            signal.signal(sign, lambda *_: stop.set())
        run_forever(WORKS, stop)
