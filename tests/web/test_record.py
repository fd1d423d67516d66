"""The record at the screen: every decision in plain words, a page at a time."""

import re
from pathlib import Path
from typing import Any

import pytest
from django.urls import reverse

from coordination.record.models import Event
from coordination.record.queries import length_and_head
from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import load_facts
from coordination.siteprep.plan import derive
from coordination.web.shapes.record_lines import SENTENCES, Naming
from coordination.web.views.record import PAGE
from tests.gates.sites import BACKING, Site, build
from tests.standing_cast import gather
from tests.web.test_new_site import FIXTURES

QUERIES = 14
CODE = Path(__file__).resolve().parents[2] / "coordination"


def page(site: Site, **query: str) -> str:
    return reverse("record", args=[site.project.uid], query=query)


def test_decisions_read_like_sentences_newest_first(site: Site, seen_by: Any) -> None:
    site.start(BACKING.key, "framer")
    site.read("backing@rail-wall#spread", "framer", '30"')
    site.review("backing@rail-wall#spread", "coordinator", "refused", "tape was slack")
    lines = seen_by("contractor").get(page(site)).context["lines"]
    assert [(line.who, line.as_what, line.sentence) for line in lines[:3]] == [
        ("Ida Marsh", "coordinator, Low Rise Lift Supply", "refused “spread”"),
        ("Bo Tran", "subcontractor, Copper Creek Framing", "handed in “spread”"),
        ("Bo Tran", "subcontractor, Copper Creek Framing", "began “backing”"),
    ]
    assert ("reasons", "tape was slack") in [(each.label, each.words) for each in lines[0].details]
    assert [line.sentence for line in lines if "stand on the project" in line.sentence][-1] == (
        "let Ana Ruiz stand on the project as general contractor"
    )


# What stands in the supplier's own stream, which no project's page shows.
OF_THE_SUPPLIER = ("supplier", "company added", "crew ", "site asks", "way entered", "levelling ")


def test_every_verb_that_a_project_is_decided_with_has_its_sentence() -> None:
    """The verbs are read from the code, so that a new one is not forgotten."""
    texts = [path.read_text() for path in CODE.rglob("*.py") if "migrations" not in path.parts]
    verbs = {
        verb
        for text in texts
        for verb in re.findall(r"(?:pen\.write|Saying)\(\s*\"([a-z ]+)\"", text)
        if not verb.startswith(OF_THE_SUPPLIER)
    }
    assert len(verbs) > 15
    assert verbs - set(SENTENCES) == set()


def test_every_verb_of_a_real_run_has_its_sentence(site: Site, seen_by: Any) -> None:
    site.ready()
    verbs = set(Event.objects.filter(stream=site.project.stream).values_list("verb", flat=True))
    assert verbs - set(SENTENCES) == set()


def test_work_of_one_name_is_recorded_with_its_place(db: Any) -> None:
    site = Site(gather())
    site.accept(derive(load_facts(FIXTURES / "facts" / "candle-works.toml"), load_catalogue()))
    naming = Naming(site.project, {})
    assert naming.what("hang-door@landing-2") == "Landing 2 (Drying loft): Hang and align the hoistway door"
    assert naming.what("hang-door@landing-2#sill-level").startswith("Landing 2 (Drying loft): ")
    assert naming.what("pour@pit") == "Pour the pit"


def test_each_decision_shows_its_hash_and_the_page_the_newest(site: Site, seen_by: Any) -> None:
    answer = seen_by("coordinator").get(page(site))
    hashes = dict(Event.objects.filter(stream=site.project.stream).values_list("seq", "hash"))
    assert {line.seq: line.hash for line in answer.context["lines"]}.items() <= hashes.items()
    text = answer.content.decode()
    assert length_and_head(site.project.stream)[1] in text
    assert "python manage.py verify_record" in text


def test_the_pages_together_hold_every_decision_once(site: Site, seen_by: Any) -> None:
    while length_and_head(site.project.stream)[0] <= 2 * PAGE:
        site.start(BACKING.key, "framer") if not site.task(BACKING.key).begun_on else None
        site.withdraw(site.read("backing@rail-wall#spread", "framer", '30"'), "framer")
    client, query, seen = seen_by("contractor"), {}, []
    while True:
        context = client.get(page(site, **query)).context
        seen += [line.seq for line in context["lines"]]
        if not context["older"]:
            break
        query = {"until": str(context["older"])}
    length = length_and_head(site.project.stream)[0]
    assert seen == list(range(length, 0, -1))
    assert client.get(page(site, until=str(PAGE))).context["newer"] == 2 * PAGE


@pytest.mark.parametrize("until", ["x", "-3", "999999", "99999999999"])
def test_a_page_that_is_none_is_the_newest(site: Site, seen_by: Any, until: str) -> None:
    lines = seen_by("contractor").get(page(site, until=until)).context["lines"]
    assert lines[0].seq == length_and_head(site.project.stream)[0]


def test_nothing_of_another_project_is_in_it(site: Site, seen_by: Any) -> None:
    far = build("far.")
    assert (
        str(far.cast.memberships["crew"].uid) not in seen_by("coordinator").get(page(site)).content.decode()
    )
    assert seen_by("coordinator").get(page(far)).status_code == 404


@pytest.mark.parametrize("name", ["crew", "framer", "left", "owner", "stranger"])
def test_for_others_the_page_is_not_there(site: Site, seen_by: Any, name: str) -> None:
    assert seen_by(name).get(page(site)).status_code == 404


def test_it_costs_the_same_for_few_decisions_and_many(
    site: Site, seen_by: Any, django_assert_num_queries: Any
) -> None:
    client = seen_by("contractor")
    with django_assert_num_queries(QUERIES):
        client.get(page(site, until="3"))
    with django_assert_num_queries(QUERIES):
        client.get(page(site))
