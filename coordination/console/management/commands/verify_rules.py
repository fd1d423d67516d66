"""Check the rules that must never break over the whole database."""

from argparse import ArgumentParser
from typing import Any
from uuid import UUID

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.access.models import Project
from coordination.console.lines import as_text
from coordination.console.refused import Refused
from coordination.console.rule_check import lines_of, look


class Command(BaseCommand):
    help = (
        "Check the rules that must never break on every project, and name each place where one does not hold."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("projects", nargs="*", type=UUID, help="projects by uid; all when none is named")

    def handle(self, *args: Any, projects: list[UUID], **options: Any) -> None:
        broken = 0
        for project in _chosen(projects):
            looked = look(project, timezone.now())
            self.stdout.write(as_text(lines_of(looked)))
            broken += len(looked.breaches)
        if broken:
            words = ngettext("%(n)d breach of the rules.", "%(n)d breaches of the rules.", broken)
            raise CommandError(words % {"n": broken}, returncode=1)
        self.stdout.write(_("Every rule holds."))


def _chosen(uids: list[UUID]) -> list[Project]:
    found = list(Project.objects.order_by("pk"))
    known = {project.uid for project in found}
    if unknown := [str(uid) for uid in uids if uid not in known]:
        raise Refused("verify_rules", [_("there is no project %s") % uid for uid in unknown])
    return [project for project in found if not uids or project.uid in uids]
