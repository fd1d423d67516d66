"""Bring the Spanish texts up to date with what is marked in code and templates."""

import subprocess
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from coordination.console.translations import bring_up_to_date, messages_file


class Command(BaseCommand):
    help = "Take what is marked for translators into the Spanish file, compile it, and name what has no Spanish yet."
    requires_system_checks: list[str] = []

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            lacking = bring_up_to_date()
        except subprocess.CalledProcessError as fault:
            raise CommandError(f"{fault.cmd}: {fault.stderr.strip()}") from None
        for text in lacking:
            self.stdout.write(text)
        if lacking:
            raise CommandError(f"{len(lacking)} texts have no Spanish in {messages_file()}.", returncode=1)
