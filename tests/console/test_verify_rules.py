"""`manage.py verify_rules` and `verify_evidence` as their user runs them, before and after an attack on the disk."""

import ast
import shutil
import sqlite3
import uuid
from pathlib import Path

import pytest
from django.db import connection

from coordination.console.rule_words import BREACHES, RULES
from coordination.evidence.models import Rendition
from coordination.evidence.renditions import make_missing, without_renditions
from coordination.files.keeping import path_of
from coordination.gates import rules
from tests.gates.sites import Site, build

FOLDER = Path(rules.__file__).parent


@pytest.fixture
def site(real_database, settings) -> Site:
    site = build()
    site.start("backing@rail-wall", "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.review("backing@rail-wall#left", "contractor")
    return site


def laid_out(real_database, settings):
    """The database and the files as one folder that a command can be run on."""
    connection.close()
    file = settings.VAR / "sill-and-plumb.sqlite3"
    shutil.copy(real_database.removeprefix("sqlite://"), file)
    return file


@pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
def test_whole_rules_are_counted_and_a_broken_one_is_named(site, real_database, settings, run_manage):
    file = laid_out(real_database, settings)
    whole = run_manage("verify_rules", var=settings.VAR)
    assert (whole.returncode, whole.stderr) == (0, "")
    lines = whole.stdout.splitlines()
    assert lines[0] == f"{site.project.name} ({site.project.uid})"
    assert (lines[-1], sum(line.endswith(": holds") for line in lines)) == ("Every rule holds.", 10)
    assert "1 task begun, 0 concessions: holds" in " ".join(whole.stdout.split())
    assert "1 entry, 1 review: holds" in " ".join(whole.stdout.split())
    with sqlite3.connect(file) as raw:
        for (name,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            raw.execute(f"DROP TRIGGER {name}")
        raw.execute("""UPDATE evidence_review SET outcome = 'refused', reasons = '["dark"]'""")
    raw.close()
    broken = run_manage("verify_rules", str(site.project.uid), var=settings.VAR)
    assert (broken.returncode, broken.stderr.strip()) == (1, "CommandError: 1 breach of the rules.")
    told = "rule 2 BROKEN, backing@rail-wall#left: the review is not the one that was decided ("
    assert told in " ".join(broken.stdout.split())
    assert sum(line.endswith(": holds") for line in broken.stdout.splitlines()) == 9
    stranger = run_manage("verify_rules", str(uuid.UUID(int=7)), var=settings.VAR)
    assert (stranger.returncode, stranger.stdout) == (2, "")
    assert stranger.stderr.splitlines() == [
        f"Refused: {uuid.UUID(int=7)}",
        "  No site is called that.",
        "  There are:",
        f"    {site.project.uid}  {site.project.name}",
    ]
    named = run_manage("verify_rules", site.project.name.upper(), var=settings.VAR)
    assert (named.returncode, named.stdout) == (1, broken.stdout)


@pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
def test_copies_are_made_again_and_a_lost_original_is_named(site, real_database, settings, run_manage):
    for key in without_renditions():
        make_missing(key)
    copies = list(Rendition.objects.select_related("blob", "evidence__blob"))
    original = path_of(copies[0].evidence.blob)
    altered, gone = (path_of(copy.blob) for copy in copies[:2])
    before = altered.read_bytes()
    laid_out(real_database, settings)
    altered.chmod(0o640)
    altered.write_bytes(b"something else")
    gone.unlink()
    healed = run_manage("verify_evidence", var=settings.VAR)
    assert (healed.returncode, healed.stdout.splitlines()[-1]) == (0, "2 copies made again.")
    assert (altered.read_bytes(), gone.exists()) == (before, True)
    original.unlink()
    gone.unlink()
    lost = run_manage("verify_evidence", var=settings.VAR)
    assert (lost.returncode, lost.stderr.strip()) == (
        1,
        "CommandError: Not everything that was handed in can be shown.",
    )
    assert sorted(lost.stdout.splitlines()[:2]) == sorted(
        f"{path.name} is missing: backing@rail-wall#left" for path in (original, gone)
    )


def test_every_breach_has_its_words():
    kinds = set()
    for file in FOLDER.glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text())):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Breach":
                kinds.update(_kinds(node.args[1]))
    assert kinds == set(BREACHES)
    assert list(RULES) == list(range(1, 11))


def _kinds(argument):
    """The kinds that an argument can be: how an original can be lost is one of two words."""
    if isinstance(argument, ast.Constant):
        return [argument.value]
    if not isinstance(argument, ast.JoinedStr):
        return []
    begin = argument.values[0].value
    return [f"{begin}{how}" for how in ("missing", "altered")]
