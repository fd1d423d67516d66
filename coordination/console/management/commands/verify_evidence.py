"""Read back every original and every copy."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.console.evidence_check import check_evidence


class Command(BaseCommand):
    help = "Read back every stored file against its SHA-256, and make copies of photos again where they are gone."

    def handle(self, *args: Any, **options: Any) -> None:
        answer = check_evidence()
        for fault in answer.faults:
            self.stdout.write(fault)
        whole, made = answer.whole, answer.made
        self.stdout.write(ngettext("%(n)d file is whole.", "%(n)d files are whole.", whole) % {"n": whole})
        if made:
            self.stdout.write(
                ngettext("%(n)d copy made again.", "%(n)d copies made again.", made) % {"n": made}
            )
        if answer.faults:
            raise CommandError(_("Not everything that was handed in can be shown."), returncode=1)
