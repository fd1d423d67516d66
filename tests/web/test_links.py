"""Sending links and taking them back, at the screens."""

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from coordination.access.models import ShareLink
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
        "sms:555-0142?&body=Harrow%20Lane%2C%20a%20company%E2%80%99s%20tasks%3A%20http"
    )


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
