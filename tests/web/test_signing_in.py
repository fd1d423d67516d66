"""Coming in: by a mailed link, by a sent link; and everything that must not let in."""

import re
from typing import Any

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse

from coordination.access.actions import open_project
from coordination.access.models import ShareLink
from tests.standing_cast import AT, Cast


def token_in(message: mail.EmailMessage) -> str:
    found = re.search(r"/l/([\w-]+)", message.body)
    assert found is not None
    return found[1]


def ask_for_mail(client: Client, email: str) -> Any:
    return client.post(reverse("sign-in"), {"email": email})


def test_a_stranger_at_the_start_is_asked_to_sign_in(client: Client, db: None) -> None:
    assert client.get("/").headers["Location"] == reverse("sign-in")


def test_a_known_address_gets_a_link_that_signs_in_once(client: Client, cast: Cast) -> None:
    answer = ask_for_mail(client, " Coordinator@site.example ")
    assert (answer.status_code, answer.headers["Location"]) == (302, reverse("sign-in-sent"))
    assert [m.to for m in mail.outbox] == [["coordinator@site.example"]]
    address = reverse("link", args=[token_in(mail.outbox[0])])
    assert "Sign in as Ida Marsh" in client.get(address).content.decode()
    assert client.post(address).headers["Location"] == reverse("home")
    assert client.session["_auth_user_id"] == str(cast.people["coordinator"].pk)
    assert client.cookies["django_language"].value == "en-us"
    again = Client().post(address)
    assert again.status_code == 410
    assert "works once" in again.content.decode()


def test_an_unknown_address_is_answered_the_same(client: Client, cast: Cast) -> None:
    known, unknown = ask_for_mail(client, "owner@site.example"), ask_for_mail(client, "nobody@far.example")
    assert (known.status_code, known.headers["Location"]) == (
        unknown.status_code,
        unknown.headers["Location"],
    )
    assert [m.to for m in mail.outbox] == [["owner@site.example"]]


def test_an_address_that_is_none_is_named(client: Client, db: None) -> None:
    answer = ask_for_mail(client, "coordinator at site")
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "This is not an e-mail address" in page
    assert page.count('role="alert"') == 2
    assert 'value="coordinator at site"' in page


def test_asking_too_often_is_refused_with_the_wait(client: Client, cast: Cast) -> None:
    answers = [ask_for_mail(client, "coordinator@site.example").status_code for _ in range(5)]
    refused = ask_for_mail(client, "coordinator@site.example")
    assert (answers, refused.status_code) == ([302] * 5, 429)
    assert "Try again in 60 minutes" in refused.content.decode()
    assert len(mail.outbox) == 5


@pytest.mark.parametrize("method", ["get", "head"])
def test_looking_at_a_link_uses_nothing_up(client: Client, cast: Cast, method: str) -> None:
    ask_for_mail(client, "contractor@site.example")
    address = reverse("link", args=[token_in(mail.outbox[0])])
    for _ in range(3):
        assert getattr(client, method)(address).status_code == 200
    assert "_auth_user_id" not in client.session
    assert ShareLink.objects.get(purpose="sign in").used_at is None
    assert client.post(address).status_code == 302


@pytest.mark.parametrize(("name", "words"), [("expired", "expired"), ("revoked", "was taken back")])
@pytest.mark.parametrize("method", ["get", "post"])
def test_a_link_that_ended_says_so(client: Client, cast: Cast, name: str, words: str, method: str) -> None:
    answer = getattr(client, method)(reverse("link", args=[cast.tokens[name]]))
    assert answer.status_code == 410
    assert words in answer.content.decode()
    assert client.session.get("links") is None


def test_an_unknown_token_is_not_found_and_counted(client: Client, cast: Cast) -> None:
    answers = {client.get(reverse("link", args=[f"guess-{n}"])).status_code for n in range(20)}
    assert answers == {404}
    assert client.get(reverse("link", args=["guess-21"])).status_code == 429
    assert client.get(reverse("link", args=[cast.tokens["owner"]])).status_code == 429


def test_a_link_that_may_be_used_again_lets_in_again(client: Client, cast: Cast) -> None:
    address = reverse("link", args=[cast.tokens["framer"]])
    assert [client.post(address).status_code, Client().post(address).status_code] == [302, 302]
    assert client.session["links"] == [str(cast.links["framer"].uid)]


def test_coming_in_changes_the_sessions_key(client: Client, cast: Cast) -> None:
    session = client.session
    session["before"] = 1
    session.save()
    client.cookies["sessionid"] = session.session_key
    client.post(reverse("link", args=[cast.tokens["framer"]]))
    assert client.session.session_key != session.session_key


def test_two_links_leave_a_choice(client: Client, cast: Cast, other_cast: Cast) -> None:
    for token in (cast.tokens["framer"], other_cast.tokens["owner"]):
        client.post(reverse("link", args=[token]))
    page = client.get("/").content.decode()
    assert ("tasks of Copper Creek Framing" in page, "how far it is, for the owner" in page) == (True, True)


def test_an_account_with_two_sites_begins_with_all_of_them(client: Client, cast: Cast) -> None:
    client.force_login(cast.people["coordinator"])
    first = client.get("/")
    assert first["Location"] == reverse("project", args=[cast.project.uid])
    told = {"name": "Tern Court", "place": "", "zone": "America/New_York", "at": AT}
    open_project(cast.supplier, cast.people["coordinator"], cast.companies["supplier"], **told)
    assert client.get("/")["Location"] == reverse("sites")
    assert f'href="{reverse("sites")}"' in client.get(first["Location"]).content.decode()


def test_signing_out_forgets_account_and_links(client: Client, cast: Cast) -> None:
    client.force_login(cast.people["coordinator"])
    client.post(reverse("link", args=[cast.tokens["framer"]]))
    assert client.post(reverse("sign-out")).status_code == 302
    assert (client.session.get("links"), client.session.get("_auth_user_id")) == (None, None)
    assert client.get(reverse("sign-out")).status_code == 405


def test_an_account_that_was_closed_signs_in_no_more(client: Client, cast: Cast) -> None:
    ask_for_mail(client, "framer@site.example")
    person = cast.people["framer"]
    type(person).objects.filter(pk=person.pk).update(is_active=False)
    answer = client.post(reverse("link", args=[token_in(mail.outbox[0])]))
    assert (answer.status_code, "_auth_user_id" in client.session) == (410, False)


def test_the_mail_is_in_the_persons_language(client: Client, cast: Cast, settings: Any) -> None:
    ask_for_mail(client, "framer@site.example")
    assert mail.outbox[0].subject == "Your link to sign in"
    assert mail.outbox[0].body.startswith("Hello Bo Tran,")


def test_a_form_without_its_token_is_refused_politely(cast: Cast) -> None:
    answer = Client(enforce_csrf_checks=True).post(reverse("sign-in"), {"email": "owner@site.example"})
    assert answer.status_code == 403
    assert "This page was open for too long" in answer.content.decode()
    assert mail.outbox == []
