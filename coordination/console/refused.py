"""How a command refuses what it was given: every fault on a line of its own, and nothing else printed."""

from collections.abc import Iterable

from django.core.management.base import CommandError
from django.utils.translation import gettext as _


class Refused(CommandError):
    """Input that is not taken. ``faults`` are whole sentences; the command ends with 2."""

    def __init__(self, what: str, faults: Iterable[str]) -> None:
        self.faults = tuple(faults)
        named = _("standard input") if what == "-" else what
        super().__init__("\n  ".join([named, *self.faults]), returncode=2)
