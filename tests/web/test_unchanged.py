"""A page that has not changed is confirmed by its tag, and anything a page depends on moves the tag."""

from datetime import timedelta

import pytest
from django.test import Client

from coordination.evidence.models import Evidence, Rendition
from tests.web.worked_site import NOW, browse, page, site  # noqa: F401

PAGES = ("project", "packages", "gates", "dates", "standing", "handover", "record")


def again(client, address, tag, **headers):
    return client.get(address, headers={"If-None-Match": tag, **headers})


@pytest.mark.parametrize("name", PAGES)
def test_the_same_page_twice_is_not_made_again(site, browse, name):  # noqa: F811
    client, address = browse("coordinator"), page(site, name)
    first = client.get(address)
    assert first.status_code == 200
    assert {"private", "no-cache"} <= set(first["Cache-Control"].split(", "))
    second = again(client, address, first["ETag"])
    assert (second.status_code, second.content, second["ETag"]) == (304, b"", first["ETag"])


def test_a_decision_a_picture_an_hour_another_person_and_another_language_move_the_tag(
    site,  # noqa: F811
    browse,  # noqa: F811
    monkeypatch,
):
    coordinator, address = browse("coordinator"), page(site, "project")
    tags = [coordinator.get(address)["ETag"]]

    assert again(browse("contractor"), address, tags[0]).status_code == 200
    tags.append(coordinator.get(address, headers={"Accept-Language": "es"})["ETag"])

    site.signed()
    tags.append(coordinator.get(address)["ETag"])

    photo = Evidence.objects.filter(blob__isnull=False).first()
    Rendition.objects.create(evidence=photo, size=64, blob=photo.blob, width=64, height=48)
    tags.append(coordinator.get(address)["ETag"])

    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW + timedelta(hours=1))
    tags.append(coordinator.get(address)["ETag"])
    assert len(set(tags)) == 5


def test_whoever_may_not_see_it_gets_no_confirmation_either(site, browse):  # noqa: F811
    address = page(site, "project")
    tag = browse("coordinator").get(address)["ETag"]
    assert again(Client(), address, tag).status_code == 404
