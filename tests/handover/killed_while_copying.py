# ruff: noqa: E402, T201
"""Run by test_papers_for_strangers: a child makes a paper's copy and kills itself at its n-th new line; then look."""

import shutil
import sys
from io import StringIO
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent.parent))

import django

django.setup()

from django.conf import settings
from django.core.management import call_command
from django.db import connection

from coordination.files import for_strangers, pdf_apart
from coordination.files.keeping import sweep, verify
from coordination.files.models import Blob, PaperForStrangers
from coordination.handover import papers_for_strangers
from coordination.handover.papers_for_strangers import look_at_paper, papers_not_looked_at
from tests.dying import die_at

WATCHED = {module.__file__ for module in (for_strangers, papers_for_strangers)}
# Its own process is tested by itself; here it would only cost its start each time.
for_strangers.copied_apart = pdf_apart.main


def make_copies() -> None:
    for key in papers_not_looked_at():
        look_at_paper(key)


def check() -> tuple[int, int]:
    """Found again and made once; whether there was a file that no row named yet, and whether it had to be made."""
    sweep()
    missing = len(papers_not_looked_at())
    on_disk = {path.name for path in Path(settings.FILES_ROOT).glob("*-*/*/*")}
    unnamed = len(on_disk) - Blob.objects.count() + (Blob.objects.count() - 1 if missing else 0)
    call_command("verify_evidence", stdout=StringIO())  # raises where anything is missing or altered
    assert papers_not_looked_at() == []
    row = PaperForStrangers.objects.select_related("copy").get()
    verify(row.copy)
    make_copies()
    assert PaperForStrangers.objects.count() == 1
    names = {path.name for path in Path(settings.FILES_ROOT).glob("*-*/*/*")}
    assert names == set(Blob.objects.values_list("sha256", flat=True))
    assert list((Path(settings.FILES_ROOT) / "incoming").iterdir()) == []
    return unnamed, missing


def main(template: str) -> None:
    """``template`` is a folder with the database and the files as they are before."""
    killed = kept_already = made_again = 0
    while True:
        connection.close()
        for path in settings.VAR.iterdir():
            shutil.rmtree(path) if path.is_dir() else path.unlink()
        shutil.copytree(template, settings.VAR, dirs_exist_ok=True)
        if not die_at(killed + 1, WATCHED, make_copies):
            break
        unnamed, missing = check()
        killed, kept_already, made_again = killed + 1, kept_already + unnamed, made_again + missing
    print(killed, kept_already, made_again)


main(sys.argv[1])
