"""Write the final handover of a site as a folder that opens without this program."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.console.handing_over import hand_over, site_called


class Command(BaseCommand):
    help = "Write the final handover of SITE (its name or uid) into FOLDER, which must not exist or be empty."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("site", metavar="SITE")
        parser.add_argument("folder", metavar="FOLDER", type=Path)
        parser.add_argument("--language", default="en-us", help="language of pages and papers (en-us, es)")
        parser.add_argument(
            "--copies",
            action="store_true",
            help="copies that do not say where a photo was taken, no originals",
        )

    def handle(
        self, *args: Any, site: str, folder: Path, language: str, copies: bool, **options: Any
    ) -> None:
        project = site_called(site)
        lacking = hand_over(project, folder, language=language, originals=not copies)
        for each in lacking:
            self.stderr.write(f"{each.name}: {each.what}: {each.why}")
        self.stdout.write(_("%(folder)s: check it there with sha256sum -c SHA256SUMS") % {"folder": folder})
        if lacking:
            count = len(lacking)
            words = ngettext(
                "%(n)d thing could not be laid down.", "%(n)d things could not be laid down.", count
            )
            self.stdout.write(words % {"n": count})
