"""What was given up in the background is said on the record's page, of this project and of no other."""

from typing import Any

from django.urls import reverse

from coordination.background.models import Lease
from coordination.evidence.models import Evidence
from coordination.web.shapes.standing_still import WHAT, standing_still
from tests.gates.sites import build
from tests.web.sites import browser, text_of


def test_each_project_is_told_of_its_own(db: Any, now: Any) -> None:
    from coordination.console.background_work import WORKS

    here, there = build(), build("far.")
    for site in (here, there):
        site.signed()
        site.clear("close-in")
    photo = Evidence.objects.filter(requirement__task__project=here.project).first()
    assert photo is not None
    for kind, key in (
        ("renditions", str(photo.pk)),
        ("papers", str(photo.blob_id)),
        ("reports", str(here.clearing("close-in").uid)),
        ("messages", here.project.stream),
    ):
        Lease.objects.create(kind=kind, key=key, attempts=5, due=None, error="/secret/path: disk full")
    assert {line.what for line in standing_still(here.project)} == {
        str(WHAT[kind]) for kind in ("renditions", "papers", "reports", "messages")
    }
    assert standing_still(there.project) == []
    page = text_of(browser(here)("coordinator").get(reverse("record", args=[here.project.uid])))
    assert "A report could not be made (5 attempts)" in page
    assert "/secret/path" not in page
    assert {work.kind for work in WORKS} == set(WHAT)
