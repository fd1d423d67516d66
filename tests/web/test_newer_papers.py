"""A paper that stands is replaced by a newer one on its card: both are listed, and the one that counts says so."""

from dataclasses import replace
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from coordination.evidence.models import Evidence
from tests.gates.sites import BACKING, JOB, Site, build, picture
from tests.gates.test_superseding import LISTING, REVIEWED, paper
from tests.web.pressing import forms_on
from tests.web.worked_site import NOW, browse, key, page, words

__all__ = ["browse"]


@pytest.fixture
def site(db: Any, monkeypatch: pytest.MonkeyPatch) -> Site:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    backing = replace(
        BACKING, requirements=(*BACKING.requirements, paper(BACKING.key, "listing", **REVIEWED))
    )
    site = build(
        "", replace(JOB, tasks=tuple(backing if each.key == BACKING.key else each for each in JOB.tasks))
    )
    site.start(BACKING.key, "framer")
    return site


def form_of(client: Any, site: Site) -> Any:
    shown = client.get(page(site, "my-task", site.task(BACKING.key).uid))
    found = [form for form in forms_on(shown) if "document" in form.files]
    return found[0] if found else None


def post(client: Any, site: Site, **more: Any) -> Any:
    told = {
        "key": key(),
        "terms": site.need(LISTING).terms_sha,
        "document": SimpleUploadedFile("listing.jpg", picture(77), "image/jpeg"),
        "number": "D",
        **more,
    }
    return client.post(
        page(site, "my-handing-in", site.need(LISTING).uid), told, headers={"HX-Request": "true"}
    )


def test_an_accepted_paper_can_be_replaced_and_both_are_listed(site: Site, browse: Any) -> None:
    client = browse("framer")
    older = site.document(LISTING, "framer", number="C")
    site.review(LISTING, "contractor")
    assert form_of(client, site).fields["replaces"] == [str(older.uid)]
    assert post(client, site).status_code == 422
    answer = post(client, site, replaces=str(older.uid))
    assert answer.status_code == 200, words(answer)
    assert Evidence.objects.get(number="D").replaces == older
    site.review(LISTING, "contractor")
    told = words(client.get(page(site, "my-task", site.task(BACKING.key).uid)))
    assert "no. C of Mon 2 Mar superseded" in told
    assert "no. D accepted" in told


def test_before_anybody_has_looked_a_second_paper_may_stand_beside_the_first(site: Site, browse: Any) -> None:
    client = browse("framer")
    site.document(LISTING, "framer", number="C")
    assert form_of(client, site).fields["replaces"] == [""]
    assert post(client, site, replaces="").status_code == 200
    assert Evidence.objects.filter(replaces__isnull=True).count() == 2


def test_another_requirements_paper_cannot_be_replaced(site: Site, browse: Any) -> None:
    photo = site.photo("backing@rail-wall#left", "framer")
    assert post(browse("framer"), site, replaces=str(photo.uid)).status_code == 200
    assert Evidence.objects.get(number="D").replaces is None
