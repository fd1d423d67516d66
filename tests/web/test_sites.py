"""The list of sites and the first sheet: who sees them, what they say, how many queries they cost."""

import re
from dataclasses import replace
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from coordination.access import actions as access
from coordination.readiness import MISSING_KINDS
from coordination.web.missing import STATES
from coordination.web.words import LOOKS
from tests.gates.sites import JOB, Site, build
from tests.standing_cast import AT

PHRASES = re.compile(r"<[^>]+>|\s+")


def words(answer: Any) -> str:
    return " ".join(PHRASES.sub(" ", answer.content.decode()).split())


def sheet(site: Site) -> str:
    return reverse("project", args=[site.project.uid])


@pytest.mark.parametrize("name", ["coordinator", "contractor", "crew"])
def test_the_first_sheet_is_for_those_who_see_the_whole_site(site: Site, seen_by: Any, name: str) -> None:
    assert seen_by(name).get(sheet(site)).status_code == 200


@pytest.mark.parametrize("name", ["electrician", "other electrician", "framer", "left", "owner", "stranger"])
def test_for_everybody_else_it_is_not_there(site: Site, seen_by: Any, name: str) -> None:
    assert seen_by(name).get(sheet(site)).status_code == 404


def test_nor_for_another_suppliers_coordinator(site: Site) -> None:
    far = build("far.")
    client = Client()
    client.force_login(far.cast.people["coordinator"])
    assert client.get(sheet(site)).status_code == 404
    assert client.get(sheet(far)).status_code == 200


@pytest.mark.parametrize("link", ["framer", "owner", "inspector", "expired", "revoked"])
def test_nor_for_a_link(site: Site, client: Client, link: str) -> None:
    client.post(reverse("link", args=[site.cast.tokens[link]]))
    assert client.get(sheet(site)).status_code == 404


def test_it_names_the_next_gate_and_everything_missing_with_its_owner(site: Site, seen_by: Any) -> None:
    answer = seen_by("contractor").get(sheet(site))
    lines = [(line.sentence, line.owner, line.phone, line.state) for line in answer.context["missing"]]
    assert lines == [
        ("Question open: pit.sump", "", "", "question open"),
        ("Backing has not begun", "Copper Creek Framing", "555-0142", "held"),
        ("Photo (backing) not handed in", "Copper Creek Framing", "555-0142", "none"),
        ("Spread (backing) not handed in", "Copper Creek Framing", "555-0142", "none"),
        (
            "Electrical inspection (rough): the authority's own document is missing",
            "electrical authority",
            "",
            "none",
        ),
        ("Signature missing: general contractor", "Ana Ruiz, Tern Hill Builders", "555-0201", "none"),
    ]
    assert answer.context["more_missing"] == 1
    assert 'href="tel:5550142"' in answer.content.decode()


def test_refused_work_leads_what_can_move_today(site: Site, seen_by: Any) -> None:
    site.start("backing@rail-wall", "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.review("backing@rail-wall#left", "contractor", "refused", "no tape in the picture")
    answer = seen_by("contractor").get(sheet(site))
    first = answer.context["ready"][0]
    assert (first.name, first.state, first.note) == ("backing", "refused", "Rail wall, Copper Creek Framing")
    assert [line.sentence for line in answer.context["missing"]][1:3] == [
        "Backing is not finished",
        "Photo (backing) refused on March 2",
    ]


def test_the_states_of_the_places_stand_in_a_table_too(site: Site, seen_by: Any) -> None:
    answer = seen_by("coordinator").get(sheet(site))
    rows = [(row[0]["text"], row[1]["text"]) for row in answer.context["table"]["rows"]]
    assert rows == [(line.name, str(LOOKS[line.state].word)) for line in answer.context["lines"]]
    assert {name for name, _state in rows} == {"Pit", "Rail wall", "Hoistway", "Site"}


def test_a_project_without_facts_says_what_to_do(site: Site, now: Any) -> None:
    empty = access.open_project(
        site.cast.supplier,
        site.cast.people["coordinator"],
        site.cast.companies["supplier"],
        name="Bare",
        at=AT,
    )
    client = Client()
    client.force_login(site.cast.people["coordinator"])
    said = words(client.get(reverse("project", args=[empty.uid])))
    assert "There is nothing to draw yet: no plan stands." in said
    assert "There is no gate ahead." in said


def test_a_change_that_waits_is_said_on_top(site: Site, seen_by: Any) -> None:
    site.lay(replace(JOB, drawing_revision="D"))
    assert "The facts changed; the plan has not been settled." in words(
        seen_by("coordinator").get(sheet(site))
    )


def another(site: Site, name: str) -> Site:
    cast = site.cast
    project = access.open_project(
        cast.supplier, cast.people["coordinator"], cast.companies["supplier"], name=name, at=AT
    )
    more = Site(replace(cast, project=project))
    more.accept(JOB)
    return more


def test_the_list_costs_the_same_for_one_site_and_three(
    site: Site, seen_by: Any, django_assert_num_queries: Any
) -> None:
    client = seen_by("coordinator")
    client.get(reverse("sites"))
    with django_assert_num_queries(LIST_QUERIES):
        assert len(client.get(reverse("sites")).context["lines"]) == 1
    another(site, "Otter Bend"), another(site, "Heron Mill")
    with django_assert_num_queries(LIST_QUERIES):
        assert len(client.get(reverse("sites")).context["lines"]) == 3


def test_the_first_sheet_costs_a_fixed_number_of_queries(
    site: Site, seen_by: Any, django_assert_num_queries: Any
) -> None:
    """Once the forecast of what stands was made and kept."""
    client = seen_by("coordinator")
    client.get(sheet(site))
    with django_assert_num_queries(SHEET_QUERIES):
        client.get(sheet(site))
    site.back()
    client.get(sheet(site))
    with django_assert_num_queries(SHEET_QUERIES):
        client.get(sheet(site))


def test_the_list_gives_a_sub_no_more_than_the_name(site: Site, seen_by: Any) -> None:
    [line] = seen_by("framer").get(reverse("sites")).context["lines"]
    assert (line.name, line.cells, line.questions) == ("Harrow Lane", (), 0)


@pytest.mark.parametrize(("name", "may"), [("coordinator", True), ("contractor", False), ("crew", False)])
def test_a_new_site_is_offered_to_whoever_may_set_one_up(
    site: Site, seen_by: Any, name: str, may: bool
) -> None:
    client = seen_by(name)
    offered = f'href="{reverse("new-site")}"' in client.get(reverse("sites")).content.decode()
    assert (offered, client.get(reverse("new-site")).status_code == 200) == (may, may)


def test_the_list_asks_strangers_to_sign_in(client: Client, db: Any) -> None:
    assert client.get(reverse("sites")).headers["Location"] == "/sign-in?next=/sites/"


def test_the_marks_of_missing_things_are_of_kinds_and_states_that_exist() -> None:
    assert set(STATES) - set(MISSING_KINDS) == set()
    assert set(STATES.values()) - set(LOOKS) == set()


LIST_QUERIES = 33
SHEET_QUERIES = 46
