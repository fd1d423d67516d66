"""The grid of a series, what is said of it, and its calculation, in the language of marks."""

from typing import Any

import pytest
from django.urls import reverse

from tests.gates.series_sites import MEASURED, SURVEY, WARMTH, WHOLE
from tests.gates.sites import BACKING, Site, build
from tests.web.marks import Reading, found_in, plan_in_both
from tests.web.sites import browser
from tests.web.test_pseudo_language import citations, data_of, marks

__all__ = ["marks"]


@pytest.fixture
def site(db: Any, now: Any, marks: None) -> Site:
    site = build(derived=plan_in_both(MEASURED))
    site.start(BACKING.key, "framer")
    return site


def test_the_grid_and_its_calculation_are_given_to_translators(site: Site) -> None:
    site.read(SURVEY, "framer", WHOLE)
    warmth = site.read(WARMTH, "framer", "2026-03-02 07:00\t60 F\t59 F\n2026-03-03 07:00\t48 F")
    calculation = reverse("series-calculation", args=[site.project.uid, warmth.uid])
    task = site.task(BACKING.key).uid
    sheets = {"framer": reverse("my-task", args=[site.project.uid, task]), "coordinator": calculation}
    wrong: dict[str, str] = {}
    data = tuple(
        sorted(
            {
                *data_of(site),
                *citations(),
                "English",
                "Landing 1",
                "Monday",
                "Cellar",
                "no",
                "60 F",
                "59 F",
                "48 F",
            },
            key=len,
            reverse=True,
        )
    )
    for name, address in sheets.items():
        client = browser(site)(name)
        client.cookies["django_language"] = "es"
        answer = client.get(address)
        assert answer.status_code == 200
        for text in found_in(Reading(answer.content.decode()).texts, data):
            wrong.setdefault(text, address)
    framer = browser(site)("framer")
    framer.cookies["django_language"] = "es"
    refused = {"pasted": "Cellar\t1\nLanding 1\tno", "when:0": "Monday", "cell:0:plate": "48 F"}
    for need in (SURVEY, WARMTH):
        answer = framer.post(reverse("reading-check", args=[site.project.uid, site.need(need).uid]), refused)
        for text in found_in(Reading(answer.content.decode()).texts, data):
            wrong.setdefault(text, need)
    assert wrong == {}
