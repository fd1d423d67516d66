"""How a command refuses what it was given: every fault on a line of its own, and nothing else printed."""

from collections.abc import Iterable

from django.core.management.base import CommandError


class Refused(CommandError):
    """Input that is not taken. ``faults`` are whole sentences; the command ends with 2."""

    def __init__(self, what: str, faults: Iterable[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n  ".join([what, *self.faults]), returncode=2)
