"""Which papers lack a copy for strangers is found from state; the copy is made once, whoever is killed when."""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from django.apps import apps
from django.db import connection
from django.utils import timezone

from coordination.background.running import run_until_idle
from coordination.console.background_work import WORKS
from coordination.console.evidence_check import check_evidence
from coordination.evidence.arrivals import take_in
from coordination.evidence.models import Evidence
from coordination.files.keeping import path_of
from coordination.files.models import Blob, PaperForStrangers
from coordination.handover.list_words import say_of_item
from coordination.handover.papers_for_strangers import HANDED_IN, papers_not_looked_at
from tests.files.scans import photo_with_position, scanned, signed
from tests.gates.sites import Site, build

PROGRAM = Path(__file__).with_name("killed_while_copying.py")
# What else points to a file, and why no copy of a PDF is made of it.
OTHERS = {
    "evidence.Rendition": "a copy of a photo",
    "evidence.Design": "a calculation made here",
    "files.Measurement": "measures of a photo",
    "files.PaperForStrangers": "the copy itself",
    "gates.AnswerPhoto": "a photo",
    "gates.AnswerPhotoCopy": "a copy of a photo",
    "handover.Report": "a report made here",
    "handover.Pack": "a folder packed here",
}


def test_whatever_points_to_a_file_is_known_to_hold_papers_of_others_or_none() -> None:
    """A new table with files fails this until somebody says whether PDFs come in by it."""
    pointing = {
        model._meta.label
        for model in apps.get_models()
        for field in model._meta.get_fields()
        if getattr(field, "concrete", False) and field.related_model is Blob
    }
    assert pointing == {model._meta.label for model in HANDED_IN} | set(OTHERS)


def test_each_way_in_is_found_and_pictures_are_not(site: Site, attached: Callable[[bytes], Evidence]) -> None:
    assert papers_not_looked_at() == []
    row = attached(scanned())
    far = build("far.")
    variance = take_in(far.project, scanned(), kind="document", file_name="v.pdf").blob
    far.vary("rough@pit#receptacle", blob=variance, file_name="v.pdf")
    word = take_in(site.project, scanned(), kind="document", file_name="w.pdf")
    told = {"item": "keys", "state": "present", "words": "In the box.", "file": word, "file_name": "w.pdf"}
    say_of_item(site.project, site.who("coordinator"), site.step(), **told)
    keys = [str(blob.pk) for blob in (row.blob, variance, word.blob)]
    assert papers_not_looked_at() == keys
    [work] = [work for work in WORKS if work.kind == "papers"]
    tried = run_until_idle([work], timezone.now(), children=False)
    assert [(one.key, one.error) for one in tried] == [(key, "") for key in keys]
    assert papers_not_looked_at() == []
    assert set(PaperForStrangers.objects.values_list("how", flat=True)) == {"stripped"}


def test_the_check_of_evidence_makes_what_is_missing_and_brings_back_what_is_lost(
    site: Site, attached: Callable[[bytes], Evidence]
) -> None:
    attached(signed(photo_with_position()))
    row = attached(scanned())
    check_evidence()
    assert papers_not_looked_at() == []
    found = PaperForStrangers.objects.select_related("copy").get(blob=row.blob)
    before = path_of(found.copy).read_bytes()
    path_of(found.copy).unlink()
    healed = check_evidence()
    assert (healed.made, healed.faults, path_of(found.copy).read_bytes()) == (1, [], before)
    path_of(found.copy).unlink()
    path_of(row.blob).unlink()
    lost = check_evidence()
    assert lost.made == 0
    assert [fault.split(" ", 1)[1] for fault in lost.faults] == ["is missing: rough@pit#inspection"] * 2
    assert {fault.split(" ")[0] for fault in lost.faults} == {row.blob.sha256, found.copy.sha256}


@pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
def test_killed_at_every_line_the_copy_is_found_missing_and_made_once(
    real_database: str, settings: object, tmp_path: Path
) -> None:
    site = build()
    site.start("rough@pit", "electrician")
    site.document("rough@pit#inspection", "contractor", scanned())
    assert Evidence.objects.count() == 1
    connection.close()
    template, var = tmp_path / "template", tmp_path / "cut"
    var.mkdir()
    template.mkdir()
    shutil.copytree(settings.FILES_ROOT, template / "files")  # type: ignore[attr-defined]
    shutil.copy(real_database.removeprefix("sqlite://"), template / "sill-and-plumb.sqlite3")
    environment = {k: v for k, v in os.environ.items() if k != "SILL_DATABASE"}
    answer = subprocess.run(
        [sys.executable, str(PROGRAM), str(template)],
        env={**environment, "SILL_VAR": str(var), "DJANGO_SETTINGS_MODULE": "coordination.settings"},
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )
    assert (answer.returncode, answer.stderr) == (0, "")
    killed, kept_already, made_again = (int(word) for word in answer.stdout.split())
    # It would prove nothing if no kill had cost a copy, or come after the copy lay in the store.
    assert (killed > 15, kept_already > 0, made_again > 10) == (True, True, True)
