"""Letters about open questions: what they say, to whom, in which forms, and who may write them."""

import io
from datetime import date
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from coordination.projects.models import Authority
from coordination.record.models import Event
from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import read_facts
from coordination.siteprep.plan import derive
from tests.gates.sites import Site, build
from tests.web.sites import text_of

QUERIES = 18


@pytest.fixture
def site(db: Any, now: Any) -> Site:
    """A job of which only the depth of the pit is known: its plan asks for nearly everything."""
    site = build()
    site.accept(derive(read_facts({"pit.depth": '14"'}), load_catalogue()))
    Authority.objects.update_or_create(
        project=site.project,
        kind="elevator",
        defaults={
            "name": "State elevator safety board",
            "phone": "555-0199",
            "permit": "EL-4471",
            "permit_on": date(2026, 2, 3),
        },
    )
    return site


def page(site: Site, fact: str = "pit.sump", name: str = "letter") -> str:
    return reverse(name, args=[site.project.uid, fact])


def letter(site: Site, client: Client, fact: str = "pit.sump", query: str = "") -> Any:
    return client.get(page(site, fact) + query).context["letter"]


def test_it_goes_to_whoever_decides_with_the_projects_permit(site: Site, seen_by: Any) -> None:
    found = letter(site, seen_by("coordinator"))
    assert found.to == ("State elevator safety board", "555-0199")
    assert found.subject.startswith("Harrow Lane: ")
    assert found.subject.endswith("(permit EL-4471 of Tue 3 Feb 2026)")
    assert found.sender == ("Ida Marsh", "coordinator, Low Rise Lift Supply", "555-0200")


def test_it_says_what_depends_on_it_by_when_and_the_safe_way(site: Site, seen_by: Any) -> None:
    client = seen_by("contractor")
    question = next(
        q
        for q in client.get(reverse("questions", args=[site.project.uid])).context["asked"]
        if q.fact == "pit.sump"
    )
    text = letter(site, client).text
    assert question.text in text
    assert "Get the building and trade permits" in text
    assert "Form the sump recess in the pour" in text
    day = question.needed_by
    assert f"{day.day} {day:%b} {day.year}" in text
    assert "Harrow Lane, 12 Harrow Lane" in text


def test_both_readings_stand_in_it_where_the_codes_disagree(site: Site, seen_by: Any) -> None:
    client = seen_by("coordinator")
    asked = client.get(reverse("questions", args=[site.project.uid])).context["asked"]
    several = [question for question in asked if len(question.readings) > 1]
    assert several
    for question in several:
        text = letter(site, client, question.fact).text
        assert all(f"- {reading}" in text for reading in question.readings)


def test_every_open_question_has_a_letter_in_which_nothing_is_left_open(site: Site, seen_by: Any) -> None:
    client = seen_by("coordinator")
    asked = client.get(reverse("questions", args=[site.project.uid])).context["asked"]
    assert len(asked) > 10
    for question in asked:
        found = letter(site, client, question.fact)
        assert found.to[0]
        assert "{" not in found.text
        assert "None" not in found.text


def test_the_mail_is_the_letter(site: Site, seen_by: Any) -> None:
    found = letter(site, seen_by("coordinator"))
    told = parse_qs(urlsplit(found.mail).query)
    assert told["subject"] == [found.subject]
    assert told["body"] == [found.body.replace("\n", "\r\n")]
    assert found.mail.startswith("mailto:?subject=")


def test_a_person_with_the_role_is_written_to_by_mail(site: Site, seen_by: Any) -> None:
    client = seen_by("coordinator")
    asked = client.get(reverse("questions", args=[site.project.uid])).context["asked"]
    of_owner = next(question.fact for question in asked if question.decides == "the owner")
    found = letter(site, client, of_owner)
    assert (found.to[0], found.email) == ("Pat Quill", "owner@site.example")
    assert found.mail.startswith("mailto:owner%40site.example?")


def test_it_can_go_to_the_engineer_instead(site: Site, seen_by: Any) -> None:
    assert letter(site, seen_by("coordinator"), query="?to=engineer").to == ("The engineer of record",)


def test_without_a_permit_it_says_so(site: Site, seen_by: Any) -> None:
    Authority.objects.update(permit="")
    found = letter(site, seen_by("coordinator"))
    assert "No permit number is recorded with us yet." in found.text
    assert "permit" not in found.subject.lower()


def test_plain_text_and_pdf_say_the_same(site: Site, seen_by: Any) -> None:
    client = seen_by("coordinator")
    found = letter(site, client)
    plain = client.get(page(site, name="letter-text"))
    assert plain.content.decode() == found.text
    assert plain.headers["Content-Type"] == "text/plain; charset=utf-8"
    answer = client.get(page(site, name="letter-pdf"))
    reader = PdfReader(io.BytesIO(answer.content))
    words = " ".join(reader.pages[0].extract_text().split())
    assert len(reader.pages) == 1
    assert answer.headers["Content-Disposition"] == 'attachment; filename="question-pit-sump.pdf"'
    for line in (*found.to, *found.sender, "Rule, edition or drawing"):
        assert line in words
    for part in found.paragraphs:
        assert part.text.split(".")[0][:60] in words


def test_writing_a_letter_decides_nothing(site: Site, seen_by: Any) -> None:
    before = Event.objects.count()
    client = seen_by("contractor")
    assert "nothing has been sent" in text_of(client.get(page(site)))
    assert client.post(page(site)).status_code == 405
    assert Event.objects.count() == before


def test_the_button_stands_at_the_question_for_who_may_answer(site: Site, seen_by: Any) -> None:
    questions = reverse("questions", args=[site.project.uid])
    assert f'href="{page(site)}"' in seen_by("contractor").get(questions).content.decode()
    assert "Write the letter" not in seen_by("crew").get(questions).content.decode()


@pytest.mark.parametrize(
    "name", ["crew", "electrician", "left", "owner", "stranger", "by link: inspector", "by link: revoked"]
)
@pytest.mark.parametrize("kind", ["letter", "letter-text", "letter-pdf"])
def test_for_others_there_is_no_letter(site: Site, seen_by: Any, name: str, kind: str) -> None:
    assert seen_by(name).get(page(site, name=kind)).status_code == 404


@pytest.mark.parametrize("fact", ["pit.depth", "nonsense", "pit"])
def test_what_is_not_open_has_no_letter(site: Site, seen_by: Any, fact: str) -> None:
    assert seen_by("coordinator").get(page(site, fact)).status_code == 404


def test_nor_for_another_suppliers_project(site: Site, seen_by: Any) -> None:
    assert seen_by("coordinator").get(page(build("far."))).status_code == 404
