"""The language of a reader: chosen, kept, and followed by whatever is sent to them."""

import io
import re
from typing import Any

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import translation
from django.utils.formats import localize
from pypdf import PdfReader

from coordination.access.actions import send_link, take_dates_along
from coordination.access.calendar_scopes import scope_of_calendar
from coordination.access.models import Person, ShareLink
from coordination.access.queries import visitor_for
from coordination.web.forms.base import DayField
from coordination.web.mail import mail_sign_in_link
from tests.gates.sites import Site
from tests.standing_cast import AT, Cast

SHEETS = ("home", "sign-in", "help", "phone")


def press(client: Client, language: str, at: str = "/help") -> Any:
    return client.post(reverse("language"), {"language": language, "next": at})


def spanish_link(cast: Cast, language: str = "es") -> str:
    contractor = visitor_for(
        person=cast.people["contractor"], link_uids=[], project_uid=cast.project.uid, at=AT
    )
    told = {"purpose": "company tasks", "company": cast.companies["framer"], "holder": "Bo Tran"}
    return send_link(cast.project, contractor, AT, language=language, days=3650, **told)[1]


def test_the_other_language_is_offered_on_every_page_by_its_own_name(client: Client, db: None) -> None:
    page = client.get("/help").content.decode()
    assert '<html lang="en-us">' in page
    assert '<button class="button button-plain" name="language" value="es" lang="es">Español</button>' in page
    assert page.index("Español") < page.index("<main")
    answer = press(client, "es")
    assert (answer.status_code, answer["Location"]) == (302, "/help")
    page = client.get("/help").content.decode()
    assert '<html lang="es">' in page
    assert 'value="en-us" lang="en-us">English</button>' in page


def test_a_language_that_is_not_there_changes_nothing(client: Client, cast: Cast) -> None:
    client.force_login(cast.people["framer"])
    press(client, "tlh")
    assert Person.objects.get(pk=cast.people["framer"].pk).language == "en-us"
    assert '<html lang="en-us">' in client.get("/help").content.decode()
    assert client.get(reverse("language")).status_code == 405


def test_what_was_chosen_is_kept_for_a_year(client: Client, db: None) -> None:
    press(client, "es")
    cookie = client.cookies["django_language"]
    assert (cookie.value, cookie["max-age"], cookie["httponly"], cookie["samesite"]) == (
        "es", 31_536_000, True, "Lax",
    )  # fmt: skip


def test_mails_follow_what_an_account_has_chosen(client: Client, cast: Cast) -> None:
    person = cast.people["framer"]
    client.force_login(person)
    press(client, "es")
    person.refresh_from_db()
    mail_sign_in_link(person, "token")
    assert mail.outbox[0].subject == "Su enlace para entrar"
    assert mail.outbox[0].body.startswith("Hola, Bo Tran:")


def test_calendars_follow_what_somebody_with_a_link_has_chosen(client: Client, cast: Cast) -> None:
    client.post(reverse("link", args=[cast.tokens["framer"]]))
    press(client, "es")
    link = cast.links["framer"]
    visitor = visitor_for(person=None, link_uids=[link.uid], project_uid=cast.project.uid, at=AT)
    asked, _token = take_dates_along(cast.project, visitor, AT)
    scope = scope_of_calendar(asked, "en-us")
    assert scope is not None
    assert scope.language == "es"


def test_a_link_speaks_the_language_in_which_it_was_sent(cast: Cast) -> None:
    address = reverse("link", args=[spanish_link(cast)])
    client = Client(headers={"accept-language": "en-US"})
    page = client.get(address).content.decode()
    assert '<html lang="es">' in page
    assert ">Abrir</button>" in page
    assert client.post(address).status_code == 302
    assert client.cookies["django_language"].value == "es"
    tasks = client.get(reverse("my-tasks", args=[cast.project.uid])).content.decode()
    assert "<h1>Mis tareas</h1>" in tasks


def test_its_reader_can_choose_another_before_the_button(cast: Cast) -> None:
    token = spanish_link(cast)
    address, client = reverse("link", args=[token]), Client()
    page = client.get(address).content.decode()
    assert page.index('value="en-us"') < page.index(">Abrir</button>")
    assert press(client, "en-us", address)["Location"] == address
    assert '<html lang="en-us">' in client.get(address).content.decode()
    client.post(address)
    assert client.cookies["django_language"].value == "en-us"
    assert ShareLink.objects.order_by("pk").last().language == "en-us"


def test_a_link_that_ended_says_so_in_the_language_in_which_it_was_sent(cast: Cast) -> None:
    token = spanish_link(cast)
    ShareLink.objects.filter(language="es").update(revoked_at=AT)
    answer = Client().get(reverse("link", args=[token]))
    assert answer.status_code == 410
    assert "Este enlace fue retirado. Pida uno nuevo a quien se lo envió." in answer.content.decode()
    assert '<html lang="en-us">' in Client().get(reverse("link", args=["never-was"])).content.decode()


def test_a_link_without_a_language_follows_the_phone(cast: Cast) -> None:
    address = reverse("link", args=[spanish_link(cast, "")])
    assert '<html lang="es">' in Client(headers={"accept-language": "es-MX,es"}).get(address).content.decode()
    assert '<html lang="en-us">' in Client(headers={"accept-language": "de"}).get(address).content.decode()


def test_a_contractor_prints_a_sheet_for_a_crew_that_reads_spanish(site: Site, seen_by: Any) -> None:
    client = seen_by("contractor")
    listed = client.get(reverse("trade-sheets", args=[site.project.uid])).content.decode()
    [address] = re.findall(r'href="([^"]+framing[^"]*\?language=es)" lang="es"', listed)
    assert "<h1>Trade sheets</h1>" in listed
    paper = client.get(address)
    words = " ".join(PdfReader(io.BytesIO(paper.content)).pages[0].extract_text().split())
    assert ("Trabajo, en orden" in words, "Work, in order" in words) == (True, False)
    plain = client.get(address.partition("?")[0] + "?language=tlh")
    words = " ".join(PdfReader(io.BytesIO(plain.content)).pages[0].extract_text().split())
    assert "Work, in order" in words


@pytest.mark.parametrize("method", ["get", "head"])
def test_a_preview_learns_nothing_and_uses_nothing_up(cast: Cast, method: str) -> None:
    address = reverse("link", args=[spanish_link(cast)])
    answer = getattr(Client(), method)(address)
    assert answer["X-Robots-Tag"] == "noindex, nofollow, noarchive"
    assert "no-store" in answer["Cache-Control"]
    link = ShareLink.objects.order_by("pk").last()
    assert (link.used_at, link.times_opened) == (None, 0)
    head = Client().get(address).content.decode().partition("</head>")[0]
    assert '<meta property="og:title" content="Sill &amp; Plumb">' in head
    assert '<meta name="robots" content="noindex, nofollow">' in head
    assert "<title>Entrar · Sill &amp; Plumb</title>" in head
    for told in ("Harrow Lane", "Copper Creek", "Bo Tran", "og:description", "og:image"):
        assert told not in head


def test_numbers_and_days_are_those_of_a_site_in_the_united_states() -> None:
    with translation.override("es"):
        assert localize(1234.5) == "1234.5"
        assert DayField().clean("2026-03-04").isoformat() == "2026-03-04"
        assert 'value="2026-03-04"' in str(DayField().widget.render("day", DayField().clean("2026-03-04")))
