# ruff: noqa: E402, T201
"""Run by test_keeping: fork, let the child store an original, kill it at its n-th line, look at what is there."""

import os
import shutil
import signal
import sys
from pathlib import Path
from uuid import UUID

sys.path.insert(0, str(Path(__file__).resolve().parent.parent.parent))

import django

django.setup()

from django.conf import settings
from django.db import connection

from coordination.files import keeping
from coordination.files.models import Blob

SUPPLIER = UUID("11111111-1111-4111-8111-111111111111")
BYTES = os.urandom(3_000_000)


def store_and_die_at(line: int) -> bool:
    """Store in a child process that kills itself before its ``line``-th line of keeping.py; was it killed?"""
    if child := os.fork():
        _, status = os.waitpid(child, 0)
        assert status in (0, signal.SIGKILL), status
        return status == signal.SIGKILL
    seen = 0

    def trace(frame, event, _):
        nonlocal seen
        if frame.f_code.co_filename != keeping.__file__:
            return None
        if event == "line":
            seen += 1
            if seen == line:
                os.kill(os.getpid(), signal.SIGKILL)
        return trace

    sys.settrace(trace)
    keeping.keep(SUPPLIER, BYTES, media_type="image/jpeg")
    sys.settrace(None)
    connection.close()
    os._exit(0)


def originals() -> list[Path]:
    return [path for path in Path(settings.FILES_ROOT).glob("*-*/*/*") if path.is_file()]


def check() -> tuple[int, int]:
    """Everything that has a name or a row is whole; then it can be swept, and stored as if nothing had been."""
    for path in originals():
        assert keeping.digest(path) == path.name
    for blob in Blob.objects.all():
        keeping.verify(blob)
    stored, left = len(originals()), keeping.sweep()
    assert keeping.sweep() == 0
    keeping.verify(keeping.keep(SUPPLIER, BYTES, media_type="image/jpeg"))
    assert [path.name for path in originals()] == [Blob.objects.get().sha256]
    assert list((Path(settings.FILES_ROOT) / "incoming").iterdir()) == []
    return stored, left


def main(template: str) -> None:
    database = Path(settings.DATABASES["default"]["NAME"])
    killed = left_behind = already_stored = 0
    while True:
        shutil.rmtree(settings.FILES_ROOT)
        Path(settings.FILES_ROOT).mkdir()
        for path in database.parent.glob(f"{database.name}*"):
            path.unlink()
        shutil.copy(template, database)
        again = store_and_die_at(killed + 1)
        stored, left = check()
        connection.close()
        if not again:
            break
        killed, left_behind, already_stored = killed + 1, left_behind + left, already_stored + stored
    print(killed, 1, left_behind, already_stored)


main(sys.argv[1])
