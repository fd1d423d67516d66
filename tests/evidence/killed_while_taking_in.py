# ruff: noqa: E402, T201
"""Run by test_power_cut: fork, let the child take a photo in, kill it at its n-th new line, look at what is there."""

import shutil
import sys
from datetime import datetime
from functools import partial
from io import StringIO
from pathlib import Path
from uuid import UUID

sys.path.insert(0, str(Path(__file__).resolve().parent.parent.parent))

import django

django.setup()

from django.conf import settings
from django.core.management import call_command
from django.db import connection

from coordination.access.models import Person, Project
from coordination.evidence import actions, arrivals, renditions
from coordination.evidence.actions import hand_in
from coordination.evidence.items import HandIn
from coordination.evidence.models import Evidence, Rendition
from coordination.files import keeping, measuring
from coordination.files.keeping import sweep
from coordination.files.models import Blob, Measurement
from coordination.projects.models import Requirement
from tests.dying import die_at
from tests.gates.sites import BACKING, Site, build, picture
from tests.standing_cast import Cast

# Every line of ``keeping`` has a test of its own, tests/files/test_keeping.py.
WATCHED = {module.__file__ for module in (measuring, arrivals, actions, renditions)}
LEFT = "backing@rail-wall#left"
KEY = UUID("00000000-0000-4000-8000-000000000001")


def prepare() -> None:
    """Run once: a site on which the framer is at work."""
    site = build()
    site.start(BACKING.key, "framer")
    print(site.at.isoformat())


def take_in_and_show(site: Site) -> None:
    """All that happens to a photo: taken in, handed in, its copies made."""
    arrived = arrivals.take_in(site.project, picture(77), kind="photo", file_name="left.jpg")
    item = HandIn(KEY, blob=arrived.blob, image=arrived.image, file_name="left.jpg")
    need = Requirement.objects.get(task__project=site.project, task__key=BACKING.key, key="left")
    hand_in(site.project, site.who("framer"), site.at, need.uid, item)
    for key in renditions.without_renditions():
        renditions.make_missing(key)


def check(site: Site) -> tuple[int, int, int]:
    """What is there is whole; the check of evidence says so and makes what is missing; all of it can be done again."""
    left = sweep()
    had, copies = Evidence.objects.count(), Rendition.objects.count()
    told = StringIO()
    call_command("verify_evidence", stdout=told)  # raises where anything is missing or altered
    for row in Evidence.objects.select_related("blob"):
        keeping.verify(row.blob)
        assert Rendition.objects.filter(evidence=row).count() == 2, told.getvalue()
        assert Measurement.objects.filter(blob=row.blob).count() == 1
    take_in_and_show(site)
    assert (Evidence.objects.count(), Rendition.objects.count()) == (1, 2)
    for blob in Blob.objects.all():
        keeping.verify(blob)
    assert list((Path(settings.FILES_ROOT) / "incoming").iterdir()) == []
    names = {path.name for path in Path(settings.FILES_ROOT).glob("*-*/*/*")}
    assert names == set(Blob.objects.values_list("sha256", flat=True))
    return left, had, had * 2 - copies


def gathered() -> Cast:
    """As much of the cast as is needed, from the database that was prepared."""
    project, framer = Project.objects.get(), Person.objects.get(email__startswith="framer@")
    return Cast(project.supplier, project, {"framer": framer}, {}, {}, {}, {})


def main(template: str, at: str) -> None:
    database = Path(settings.DATABASES["default"]["NAME"])
    killed = left_behind = decided = made_again = 0
    while True:
        connection.close()
        shutil.rmtree(settings.FILES_ROOT, ignore_errors=True)
        Path(settings.FILES_ROOT).mkdir(parents=True)
        for path in database.parent.glob(f"{database.name}*"):
            path.unlink()
        shutil.copy(template, database)
        site = Site(gathered(), datetime.fromisoformat(at))
        if not die_at(killed + 1, WATCHED, partial(take_in_and_show, site)):
            break
        left, had, missing = check(site)
        killed, left_behind = killed + 1, left_behind + left
        decided, made_again = decided + had, made_again + missing
    print(killed, left_behind, decided, made_again)


if sys.argv[1] == "prepare":
    prepare()
else:
    main(*sys.argv[2:])
