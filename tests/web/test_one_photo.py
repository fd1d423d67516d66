"""On the phone page a photo can be ticked for what else it shows of the same visit."""

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from coordination.evidence.models import Evidence
from tests.evidence.test_one_photo import CORNER, LEFT, RIGHT, visited
from tests.gates.sites import BACKING, Site, picture
from tests.web.pressing import forms_on
from tests.web.worked_site import NOW, browse, key, page, words

__all__ = ["browse"]


@pytest.fixture
def site(db: Any, monkeypatch: pytest.MonkeyPatch) -> Site:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    return visited()


def value(site: Site, name: str) -> str:
    need = site.need(name)
    return f"{need.uid}:{need.terms_sha}"


def post(site: Site, client: Any, *also: str, htmx: bool = True) -> Any:
    told = {
        "key": key(),
        "terms": site.need(LEFT).terms_sha,
        "photos": SimpleUploadedFile("wall.jpg", picture(7), "image/jpeg"),
        "also": list(also),
    }
    headers = {"HX-Request": "true"} if htmx else {}
    return client.post(page(site, "my-handing-in", site.need(LEFT).uid), told, headers=headers)


def test_the_other_views_of_the_visit_can_be_ticked(site: Site, browse: Any) -> None:
    shown = browse("framer").get(page(site, "my-task", site.task(BACKING.key).uid))
    for name in (RIGHT, CORNER):
        assert f'name="also" value="{value(site, name)}"' in shown.content.decode()
    assert f'name="also" value="{value(site, "rough@pit#receptacle")}"' not in shown.content.decode()


def test_what_was_ticked_is_handed_in_and_both_cards_say_so(site: Site, browse: Any) -> None:
    answer = post(site, browse("framer"), value(site, RIGHT), value(site, CORNER))
    assert answer.status_code == 200
    assert "1 photo handed in. It counts for 2 more views." in words(answer)
    assert f'id="need-{site.need(RIGHT).uid}" hx-swap-oob="true"' in answer.content.decode()
    assert Evidence.objects.count() == 3


def test_without_script_it_does_the_same(site: Site, browse: Any) -> None:
    client = browse("framer")
    assert post(site, client, value(site, RIGHT), htmx=False).status_code == 302
    shown = client.get(page(site, "my-task", site.task(BACKING.key).uid))
    assert "It counts for 1 more view." in words(shown)
    assert not [form for form in forms_on(shown) if value(site, RIGHT) in form.fields.get("also", ())]


def test_what_is_settled_meanwhile_is_named_and_the_photo_is_kept(site: Site, browse: Any) -> None:
    site.photo(RIGHT, "framer")
    site.review(RIGHT, "contractor")
    answer = post(site, browse("framer"), value(site, RIGHT))
    assert answer.status_code == 422
    assert "Not everything was taken" in words(answer)
    assert "This is accepted already" in words(answer)
    assert Evidence.objects.filter(requirement=site.need(LEFT)).count() == 1


@pytest.mark.parametrize("wrong", ["nonsense", "0:0", "../../x"])
def test_what_no_page_of_ours_wrote_is_refused(site: Site, browse: Any, wrong: str) -> None:
    assert post(site, browse("framer"), wrong).status_code == 422
    assert Evidence.objects.count() == 0
