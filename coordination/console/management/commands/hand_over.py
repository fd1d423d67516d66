"""Write the final handover of a site as a folder that opens without this program."""

from argparse import ArgumentParser
from functools import cache
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.console.handing_over import hand_over
from coordination.console.named_sites import site_called
from coordination.console.progress import Progress

STOPPED = 130  # what a shell answers for a program that Ctrl-C stopped


class Command(BaseCommand):
    help = "Write the final handover of SITE (its name or uid) into FOLDER, which must not exist or be empty."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("site", metavar="SITE")
        parser.add_argument("folder", metavar="FOLDER", type=Path)
        parser.add_argument(
            "--language",
            default="en-us",
            choices=[code for code, _name in settings.LANGUAGES],
            help="language of pages and papers",
        )
        parser.add_argument(
            "--copies",
            action="store_true",
            help="copies that do not say where a photo was taken, no originals",
        )

    def handle(
        self, *args: Any, site: str, folder: Path, language: str, copies: bool, **options: Any
    ) -> None:
        project = site_called(site)
        progress = cache(
            lambda: self._progress(project.name)
        )  # begun with the first file, after every refusal

        def tell(done: int, total: int) -> None:
            progress().tell(done, total, _("files"))

        try:
            lacking = hand_over(project, folder, language=language, originals=not copies, tell=tell)
        except KeyboardInterrupt:
            raise CommandError(_("Stopped; nothing was laid down."), returncode=STOPPED) from None
        progress().done(_("  all laid down"))
        for each in lacking:
            self.stderr.write(f"{each.name}: {each.what}: {each.why}")
        self.stdout.write(_("%(folder)s: check it there with sha256sum -c SHA256SUMS") % {"folder": folder})
        if lacking:
            count = len(lacking)
            words = ngettext(
                "%(n)d thing could not be laid down.", "%(n)d things could not be laid down.", count
            )
            self.stdout.write(words % {"n": count})

    def _progress(self, name: str) -> Progress:
        """On stderr, so that stdout says the same whether somebody watches or not."""
        self.stderr.style_func = None
        title = _("Laying down the final handover of %(site)s") % {"site": name}
        return Progress(self.stderr if self.stderr.isatty() else None, title, self.stderr)
