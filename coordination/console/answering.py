"""Commands that read something, work it out and print it. They need no database and leave nothing behind."""

import os
import sys
from argparse import ArgumentTypeError
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from django.utils.translation import gettext as _

from coordination.console.refused import Refused

MOST_BYTES = 20_000_000


class Answering(BaseCommand):
    """Give ``answer`` the options and print its text whole, or nothing of it when it raises Refused."""

    requires_system_checks: list[str] = []

    def answer(self, **options: Any) -> str:
        raise NotImplementedError

    def handle(self, *args: Any, **options: Any) -> None:
        text = self.answer(**options)
        try:
            self.stdout.write(text)
            self.stdout.flush()
        except BrokenPipeError:  # the reader, a pager or head, has seen enough
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def read_text(name: str) -> str:
    """The text of a file, or of standard input for ``-``. Raises Refused naming what is wrong with it."""
    if name != "-":
        return read_file(Path(name))
    return _decoded(name, sys.stdin.buffer.read(MOST_BYTES + 1))


def read_file(path: Path) -> str:
    """The text of a file. Raises Refused naming what is wrong with it."""
    try:
        with path.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
    except OSError as fault:
        raise Refused(str(path), [os.strerror(fault.errno or 0)]) from None
    return _decoded(str(path), content)


def _decoded(name: str, content: bytes) -> str:
    if len(content) > MOST_BYTES:
        raise Refused(name, [_("larger than %(most)d bytes") % {"most": MOST_BYTES}])
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        raise Refused(name, [_("not a text in UTF-8 (byte %(place)d)") % {"place": fault.start}]) from None


def whole_number(low: int, high: int) -> Callable[[str], int]:
    """An argument that is a whole number from ``low`` to ``high``."""

    def read(typed: str) -> int:
        if not typed.isascii() or not typed.isdigit() or not low <= int(typed) <= high:
            raise ArgumentTypeError(
                _("%(typed)r is not a whole number from %(low)d to %(high)d")
                % {"typed": typed, "low": low, "high": high}
            )
        return int(typed)

    return read
