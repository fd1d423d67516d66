"""A report is made in English, and in each other language that somebody reads on its site."""

import io
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from coordination.access import actions as access
from coordination.access.models import Person
from coordination.console.background_work import make_report, reports_to_make
from coordination.files.keeping import path_of
from coordination.handover.models import Report
from tests.gates.sites import Site, build


@pytest.fixture
def cleared(db: Any) -> Site:
    site = build()
    site.signed()
    site.clear("close-in")
    return site


def keys(site: Site) -> list[str]:
    uid = str(site.clearing("close-in").uid)
    return [key.replace(uid, "clearing") for key in reports_to_make(site.at)]


def test_where_all_read_english_there_is_one(cleared: Site) -> None:
    Person.objects.filter(email__startswith="framer").update(language="es")  # who hands in reads no reports
    assert keys(cleared) == ["clearing"]


@pytest.mark.parametrize("reader", ["contractor", "by link"])
def test_who_reads_spanish_is_given_one_in_spanish(cleared: Site, reader: str) -> None:
    if reader == "by link":
        told = {"purpose": "inspection", "holder": "", "language": "es"}
        access.send_link(cleared.project, cleared.who("coordinator"), cleared.at, **told)
    else:
        Person.objects.filter(email__startswith=reader).update(language="es")
    assert keys(cleared) == ["clearing", "clearing/es"]


def test_both_stand_side_by_side_the_readers_own_first(cleared: Site) -> None:
    person = cleared.cast.people["contractor"]
    Person.objects.filter(pk=person.pk).update(language="es")
    for key in reports_to_make(cleared.at):
        make_report(key)
    assert (keys(cleared), Report.objects.count()) == ([], 2)
    spanish = Report.objects.get(language="es")
    paper = PdfReader(io.BytesIO(path_of(spanish.blob).read_bytes()))
    words = " ".join(" ".join(page.extract_text().split()) for page in paper.pages)
    assert ("Punto de espera" in words, "This is a record of what was handed in" in words) == (True, False)
    assert paper.trailer["/Root"]["/Lang"] == "es"
    client = Client()
    client.force_login(person)
    client.cookies["django_language"] = "es"
    page = client.get(reverse("handover", args=[cleared.project.uid])).content.decode()
    assert 0 < page.index("Español, ") < page.index("English, ")
