"""Whom no mail told: telephone and a ready text message on the gate, in the calls, on who owes what; gone once heard."""

import re
from html import unescape
from typing import Any
from urllib.parse import unquote

import pytest
from django.test import Client
from django.urls import reverse

from coordination.access.models import ShareLink
from coordination.dates.models import Call
from coordination.record.models import Event
from tests.gates.sites import BACKING, Site, build
from tests.notices.linked import NAME, by_link_only, reopened_over_a_link
from tests.web.sites import browser, text_of


@pytest.fixture
def told(db: Any, now: Any) -> tuple[Site, Any, str]:
    site, _company, _link, token = reopened_over_a_link()
    return site, browser(site), token


def gate_page(site: Site) -> str:
    return reverse("gate", args=[site.project.uid, site.gate("close-in").task.uid])


def pages(site: Site) -> list[str]:
    return [gate_page(site), reverse("calls"), reverse("owed", args=[site.project.uid])]


def came(token: str) -> Client:
    client = Client()
    assert client.post(reverse("link", args=[token])).status_code == 302
    return client


@pytest.mark.parametrize("place", [0, 1, 2])
def test_each_page_has_telephone_and_a_text_message_without_the_link(told: Any, place: int) -> None:
    site, seen_by, token = told
    page = seen_by("coordinator").get(pages(site)[place]).content.decode()
    assert NAME in page
    assert 'href="tel:+15550191"' in page
    [text] = [unquote(unescape(each)) for each in re.findall(r'href="(sms:[^"]*)"', page)]
    assert text.startswith("sms:+15550191?&body=Harrow Lane, Blue Door Interiors: ")
    assert "close-in" in text
    assert ("/l/" in text, token in page, "http" in text) == (False, False, False)


def test_the_text_message_is_in_the_language_of_their_link(told: Any, monkeypatch: Any) -> None:
    from django.utils.translation import get_language

    from coordination.web.shapes import unheard_lines

    said, whole = [], unheard_lines._words

    def heard(table: Any, one: Any) -> str:
        said.append((table is unheard_lines.TO_THEM, get_language()))
        return whole(table, one)

    monkeypatch.setattr(unheard_lines, "_words", heard)
    site, seen_by, _token = told
    seen_by("coordinator").get(gate_page(site))
    assert set(said) == {(False, "en-us"), (True, "es")}


def test_it_goes_once_they_opened_their_link(told: Any) -> None:
    site, seen_by, token = told
    client = seen_by("coordinator")
    tag = client.get(gate_page(site)).headers["ETag"]
    came(token)
    for address in pages(site):
        answer = client.get(address, headers={"If-None-Match": tag})
        assert (answer.status_code, "sms:" in answer.content.decode()) == (200, False)


@pytest.mark.parametrize(("outcome", "stays"), [("reached", False), ("texted", False), ("no answer", True)])
def test_one_touch_logs_it_where_it_was_pressed(told: Any, outcome: str, stays: bool) -> None:
    site, seen_by, _token = told
    client = seen_by("coordinator")
    page = client.get(gate_page(site)).content.decode()
    fields = dict(re.findall(r'type="hidden" name="(key|visit|owner|phone|gate)" value="([^"]*)"', page))
    before = Event.objects.count()
    for _press in range(2):
        answer = client.post(reverse("call", args=[site.project.uid]), {**fields, "outcome": outcome})
        assert (answer.status_code, answer.url) == (302, gate_page(site))
    assert (Event.objects.count(), Call.objects.get().outcome) == (before + 1, outcome)
    after = client.get(gate_page(site)).content.decode()
    assert ("sms:" in after, "last tried, no answer" in after) == (stays, stays)
    record = text_of(client.get(reverse("record", args=[site.project.uid])))
    assert f"told {NAME} what had happened" in record


def test_the_contractor_sees_it_and_logs_nothing(told: Any) -> None:
    site, seen_by, _token = told
    page = seen_by("contractor").get(gate_page(site)).content.decode()
    assert "sms:" in page
    assert 'name="outcome"' not in page


def test_without_a_link_that_opens_one_is_to_be_sent(told: Any) -> None:
    site, seen_by, _token = told
    ShareLink.objects.filter(company__name=NAME).update(expires_at=site.at)
    page = seen_by("coordinator").get(gate_page(site)).content.decode()
    assert "sms:" not in page
    assert f"{reverse('links', args=[site.project.uid])}?company=" in page


def test_the_company_sees_first_what_reopened_and_why(told: Any) -> None:
    site, _seen_by, token = told
    answer = came(token).get(reverse("my-tasks", args=[site.project.uid]))
    page = answer.content.decode()
    [news] = answer.context["news"]
    assert (news.state, [work.name for work in news.works]) == ("reopened", ["Board"])
    assert page.index('id="news"') < page.index('class="own-tasks')
    assert "wrong wall" in text_of(answer)


def test_and_what_came_back_to_it(db: Any, now: Any) -> None:
    site = build()
    site.start(BACKING.key, "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.read("backing@rail-wall#spread", "framer", '30"')
    site.offer(BACKING.key, "framer")
    *_rest, token = by_link_only(site, "framing", language="")
    site.review("backing@rail-wall#left", "contractor", "refused", "no tape in the picture")
    answer = came(token).get(reverse("my-tasks", args=[site.project.uid]))
    [news] = answer.context["news"]
    assert (news.sentence, news.reasons) == ("“backing” came back to you", ("no tape in the picture",))
    assert text_of(answer).index("Look at this first") < text_of(answer).index("Today")
