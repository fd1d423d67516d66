"""Do the background work until stopped."""

import signal
import threading
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from coordination.background.running import Tried, run_forever, run_until_idle
from coordination.console.background_work import WORKS
from coordination.files import keeping


class Command(BaseCommand):
    help = "Do the background work (pictures, papers, mails) until stopped, or until nothing is due."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--until-idle", action="store_true", help="stop when nothing is due")
        parser.add_argument(
            "--kind",
            action="append",
            choices=[work.kind for work in WORKS],
            help="only this kind of work; may be given several times",
        )

    def handle(self, *args: Any, until_idle: bool, kind: list[str] | None, **options: Any) -> None:
        keeping.sweep()
        works = [work for work in WORKS if not kind or work.kind in kind]
        if until_idle:
            run_until_idle(works, timezone.now(), tell=self._tell)
            return
        stop = threading.Event()
        for sign in (signal.SIGINT, signal.SIGTERM):
            signal.signal(sign, lambda *_: stop.set())
        run_forever(works, stop)

    def _tell(self, tried: Tried) -> None:
        self.stdout.write(f"{tried.kind} {tried.key}: {tried.error or 'done'}")
