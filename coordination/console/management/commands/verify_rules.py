"""Check the rules that must never break over the whole database."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.access.models import Project
from coordination.console.lines import as_text
from coordination.console.named_sites import sites_called
from coordination.console.rule_check import lines_of, look


class Command(BaseCommand):
    help = (
        "Check the rules that must never break on every project, and name each place where one does not hold."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("sites", nargs="*", help="sites by name or uid; all when none is named")

    def handle(self, *args: Any, sites: list[str], **options: Any) -> None:
        broken = 0
        for project in sites_called(sites) if sites else Project.objects.order_by("pk"):
            looked = look(project, timezone.now())
            self.stdout.write(as_text(lines_of(looked)))
            broken += len(looked.breaches)
        if broken:
            words = ngettext("%(n)d breach of the rules.", "%(n)d breaches of the rules.", broken)
            raise CommandError(words % {"n": broken}, returncode=1)
        self.stdout.write(_("Every rule holds."))
