"""An authority's variance at the screens: its form, the card, the list of what was let go, and its scan."""

import io
from typing import Any

import pytest
from django.urls import reverse

from coordination.evidence.arrivals import take_in
from coordination.files.keeping import path_of
from coordination.gates.models import Concession, Variance
from coordination.handover.papers_for_strangers import look_at_paper, papers_not_looked_at
from coordination.record.models import Event
from tests.files.scans import NAMED, all_bytes_of, scanned
from tests.gates.sites import ROUGH, Site, picture
from tests.web.sites import text_of
from tests.web.worked_site import FOR_THE_SITES_PEOPLE, browse, site

__all__ = ["browse", "site"]

RECEPTACLE, SPREAD = "rough@pit#receptacle", "backing@rail-wall#spread"


def page(site: Site, need: str = RECEPTACLE) -> str:
    return reverse("variance", args=[site.project.uid, site.need(need).uid])


def sheet(site: Site) -> str:
    return reverse("task", args=[site.project.uid, site.task(ROUGH.key).uid])


def sent(site: Site, **more: Any) -> dict[str, Any]:
    scan = io.BytesIO(picture(9))
    scan.name = "variance.jpg"
    told = {"authority": str(site.authority().uid), "number": "V-12", "dated": "2026-03-02"}
    told |= {"reason": "A receptacle at the door.", "scope": "the pit", "expires_on": "", "document": scan}
    return {name: value for name, value in (told | more).items() if value is not None}


def test_it_is_attached_from_the_card_and_stands_where_what_was_let_go_stands(
    site: Site, browse: Any
) -> None:
    client = browse("contractor")
    assert page(site) in client.get(sheet(site)).content.decode()
    assert client.post(page(site), sent(site)).status_code == 302
    row = Concession.objects.get()
    assert Event.objects.filter(verb="variance attached").count() == 1
    shown = client.get(sheet(site))
    card = next(card for card in shown.context["cards"] if card.need.uid == site.need(RECEPTACLE).uid)
    assert "variance V-12 of Town Hall, dated Mon 2 Mar 2026" in card.need.concession
    assert (card.need.state, card.doings.vary, card.doings.ending) == ("conceded", "", row.uid)
    assert card.doings.end_words == "Take the variance back"
    told = client.get(reverse("concessions", args=[site.project.uid]))
    [line] = told.context["lines"]
    assert (line.kind, line.variance.number) == ("Authority’s variance", "V-12")
    assert "Town Hall (building department)" in text_of(told)
    ending = {"concession": row.uid, "reason": "withdrawn by the town"}
    address = reverse(
        "requirement-doing", args=[site.project.uid, site.need(RECEPTACLE).uid, "end-concession"]
    )
    assert browse("coordinator").post(address, ending).status_code == 302
    assert client.get(sheet(site)).context["cards"][0].need.concession == ""


def test_errors_stand_by_their_fields_and_nothing_typed_is_lost(site: Site, browse: Any) -> None:
    answer = browse("contractor").post(page(site), sent(site, number="", dated="", scope=""))
    form = answer.context["form"]
    assert (answer.status_code, set(form.errors)) == (422, {"number", "dated", "scope"})
    assert "A receptacle at the door." in answer.content.decode()
    assert "Everything typed is still here; choose the scan again." in text_of(answer)
    answer = browse("contractor").post(page(site), sent(site, dated="2099-01-01"))
    assert "The variance is dated in the future: look at its date again." in text_of(answer)
    answer = browse("contractor").post(page(site), sent(site, document=None, authority=None))
    assert set(answer.context["form"].errors) == {"document", "authority"}
    assert Variance.objects.count() == 0


def test_without_an_authority_it_leads_to_where_they_are_entered(site: Site, browse: Any) -> None:
    answer = browse("contractor").get(page(site))
    assert "No authority is entered on this site yet." in text_of(answer)
    assert reverse("authorities", args=[site.project.uid]) in answer.content.decode()


def test_there_is_no_such_page_for_what_has_its_own_way(site: Site, browse: Any) -> None:
    for need in (SPREAD, "rough@pit#inspection"):
        assert browse("contractor").get(page(site, need)).status_code == 404


@pytest.mark.parametrize(
    ("name", "status"),
    [
        ("coordinator", 200),
        ("contractor", 200),
        ("crew", 404),
        ("framer", 404),
        ("owner", 404),
        ("stranger", 404),
    ],
)
def test_only_two_roles_have_the_form(site: Site, browse: Any, name: str, status: int) -> None:
    assert browse(name).get(page(site)).status_code == status


def test_the_scan_is_read_by_whoever_may_have_originals(site: Site, browse: Any) -> None:
    row = site.vary(RECEPTACLE)
    address = reverse("variance-scan", args=[row.uid])
    whole = browse("contractor").get(address)
    assert (whole.status_code, b"".join(whole.streaming_content)) == (
        200,
        path_of(row.variance.blob).read_bytes(),
    )
    assert [browse(name).get(address).status_code for name in ("crew", "stranger")] == [404, 404]
    listed = reverse("concessions", args=[site.project.uid])
    told = {name: browse(name).get(listed) for name in ("contractor", "crew")}
    assert [address in told[name].content.decode() for name in told] == [True, False]
    assert "The general contractor and the coordinator have the original." in text_of(told["crew"])


def test_a_scan_as_pdf_goes_to_others_without_location_and_device(site: Site, browse: Any) -> None:
    arrived = take_in(site.project, scanned(), kind="document", file_name="variance.pdf")
    row = site.vary(RECEPTACLE, blob=arrived.blob, file_name="variance.pdf")
    address, listed = (
        reverse("variance-scan", args=[row.uid]),
        reverse("concessions", args=[site.project.uid]),
    )
    assert papers_not_looked_at() == [str(arrived.blob.pk)]
    assert browse("crew").get(address).status_code == 404
    look_at_paper(str(arrived.blob.pk))
    sent = {name: b"".join(browse(name).get(address).streaming_content) for name in ("crew", "contractor")}
    assert sent["contractor"] == path_of(arrived.blob).read_bytes()
    assert NAMED.search(all_bytes_of(sent["crew"])) is None
    told = {name: text_of(browse(name).get(listed)) for name in sent}
    assert ["copy without location and device data" in told[name] for name in sent] == [True, False]


@FOR_THE_SITES_PEOPLE
def test_the_list_says_that_only_a_variance_lets_it_go(
    site: Site, browse: Any, name: str, status: int
) -> None:
    answer = browse(name).get(reverse("concessions", args=[site.project.uid]))
    assert answer.status_code == status
    assert ("an authority’s variance lets it go" in text_of(answer)) == (status == 200)
