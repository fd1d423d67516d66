"""Sending links and taking them back, at the screens."""

import re
from typing import Any
from urllib.parse import unquote

import pytest
from django.test import Client
from django.urls import reverse

from coordination.access.models import ShareLink
from coordination.web.text_messages import sms_address
from tests.standing_cast import Cast


def page(cast: Cast) -> str:
    return reverse("links", args=[cast.project.uid])


def wish(cast: Cast, **altered: Any) -> dict[str, Any]:
    company = str(cast.companies["framer"].uid)
    told = {
        "purpose": "company tasks",
        "company": company,
        "holder": "Bo Tran",
        "phone": "555-0142",
        "language": "en-us",
        "days": "30",
    }
    return {**told, **altered}


def test_a_link_that_is_sent_is_shown_once_and_opens(cast: Cast, signed_in: Any) -> None:
    answer = signed_in("contractor").post(page(cast), wish(cast))
    [address] = re.findall(r"<code>http://127\.0\.0\.1:8000(/l/[\w-]+)</code>", answer.content.decode())
    assert Client().post(address).status_code == 302
    assert address not in signed_in("contractor").get(page(cast)).content.decode()


def test_the_text_message_is_written_already(cast: Cast, signed_in: Any) -> None:
    fresh = signed_in("contractor").post(page(cast), wish(cast)).context["fresh"]
    assert fresh.text_message.startswith(
        "sms:5550142?&body=Harrow%20Lane%3A%20your%20tasks%2C%20Copper%20Creek%20Framing.%20Open%20this%20on"
    )
    assert unquote(fresh.text_message.partition("body=")[2]) == fresh.message


def test_the_text_message_is_in_the_language_of_whoever_gets_it(cast: Cast, signed_in: Any) -> None:
    answer = signed_in("contractor").post(page(cast), wish(cast, language="es"))
    assert answer.context["fresh"].words == (
        "Harrow Lane: sus tareas, Copper Creek Framing. Abra esto en su teléfono; no necesita cuenta:"
    )
    html = answer.content.decode()
    assert 'lang="es"><p>Harrow Lane: sus tareas' in html
    assert "<h1>Links</h1>" in html  # the sender's own page stays as it was


@pytest.mark.parametrize(
    ("phone", "begins"),
    [
        ("(802) 555-0142", "sms:8025550142?&body="),
        ("+1 802 555 0142", "sms:+18025550142?&body="),
        ("802-555-0142 x12", "sms:8025550142?&body="),
        ("802-555-0142 ext. 12", "sms:8025550142?&body="),
        ("", "sms:?&body="),
    ],
)
def test_a_number_is_texted_without_signs_and_extension(phone: str, begins: str) -> None:
    assert sms_address(phone, "a b&c?") == f"{begins}a%20b%26c%3F"


def test_without_a_number_that_of_the_company_is_texted(cast: Cast, signed_in: Any) -> None:
    fresh = signed_in("contractor").post(page(cast), wish(cast, phone="")).context["fresh"]
    known = re.sub(r"\D", "", cast.companies["framer"].phone)
    assert known
    assert fresh.text_message.startswith(f"sms:{known}?")
    owners = wish(cast, purpose="owner page", company="", phone="")
    answer = signed_in("contractor").post(page(cast), owners)
    assert answer.context["fresh"].text_message.startswith("sms:?")
    assert "your phone asks whom to text" in answer.content.decode()


def test_first_contact_with_a_company_is_filled_in(cast: Cast, signed_in: Any) -> None:
    company = cast.companies["framer"]
    client = signed_in("contractor")
    address = f"{page(cast)}?company={company.uid}#send"
    assert address in client.get(reverse("companies", args=[cast.project.uid])).content.decode()
    form = client.get(address).context["form"]
    told = {name: form[name].value() for name in ("purpose", "company", "holder", "phone", "language")}
    assert told == {
        "purpose": "company tasks",
        "company": str(company.uid),
        "holder": company.contact or company.name,
        "phone": company.phone,
        "language": "en-us",
    }
    assert client.get(f"{page(cast)}?company=nobody").context["form"]["holder"].value() is None


def test_the_list_says_who_came_in_and_when(cast: Cast, signed_in: Any) -> None:
    client, address = signed_in("contractor"), reverse("link", args=[cast.tokens["framer"]])

    def opened() -> tuple[Any, Any, int]:
        line = next(each for each in client.get(page(cast)).context["lines"] if each.uid == uid)
        return line.first_opened_at, line.last_opened_at, line.times_opened

    uid = cast.links["framer"].uid
    Client().get(address)
    Client().head(address)
    assert opened() == (None, None, 0)
    Client().post(address)
    first, _last, _times = opened()
    assert opened() == (first, first, 1)
    Client().post(address)
    assert (opened()[0], opened()[2]) == (first, 2)
    assert "2 times, first" in client.get(page(cast)).content.decode()


@pytest.mark.parametrize(
    ("altered", "said"),
    [
        ({"holder": ""}, "This field is required."),
        ({"days": "0"}, "Ensure this value is greater than or equal to 1."),
        ({"company": ""}, "A link to a company's tasks or calendar needs the company."),
        ({"purpose": "owner page"}, "Only a link to a company's tasks or calendar names a company."),
        ({"purpose": "everything"}, "Select a valid choice."),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_sent(
    cast: Cast, signed_in: Any, altered: Any, said: str
) -> None:
    before = ShareLink.objects.count()
    answer = signed_in("coordinator").post(page(cast), wish(cast, **altered))
    assert (answer.status_code, ShareLink.objects.count()) == (422, before)
    assert said in answer.content.decode().replace("&#x27;", "'")


def test_a_company_of_another_supplier_cannot_be_named(cast: Cast, other_cast: Cast, signed_in: Any) -> None:
    foreign = str(other_cast.companies["framer"].uid)
    answer = signed_in("coordinator").post(page(cast), wish(cast, company=foreign))
    assert answer.status_code == 422
    assert other_cast.companies["framer"].name not in {
        c for c, _ in answer.context["form"].fields["company"].choices
    }


def test_a_link_taken_back_opens_nothing(cast: Cast, signed_in: Any) -> None:
    client = signed_in("contractor")
    address = reverse("link-revoke", args=[cast.project.uid, cast.links["owner"].uid])
    assert [client.post(address).status_code, client.post(address).status_code] == [302, 302]
    assert Client().post(reverse("link", args=[cast.tokens["owner"]])).status_code == 410
    assert client.get(address).status_code == 405


def test_nobody_takes_back_another_projects_link(cast: Cast, other_cast: Cast, signed_in: Any) -> None:
    address = reverse("link-revoke", args=[cast.project.uid, other_cast.links["owner"].uid])
    assert signed_in("coordinator").post(address).status_code == 404
    assert ShareLink.objects.get(pk=other_cast.links["owner"].pk).revoked_at is None


@pytest.mark.parametrize("name", ["crew", "electrician", "framer", "left", "owner", "stranger"])
def test_the_page_is_not_there_for_others(cast: Cast, signed_in: Any, name: str) -> None:
    client = signed_in(name)
    assert [client.get(page(cast)).status_code, client.post(page(cast), wish(cast)).status_code] == [404, 404]


def test_the_list_says_what_ended(cast: Cast, signed_in: Any) -> None:
    lines = signed_in("contractor").get(page(cast)).context["lines"]
    assert sorted(line.ended for line in lines) == ["", "", "", "", "expired", "taken back"]
