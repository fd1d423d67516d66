"""One place at the screen: its drawing with dimensions, its work, and who may see it."""

from typing import Any

import pytest
from django.urls import reverse

from tests.gates.sites import Site
from tests.web.sites import text_of


def page(site: Site, place: str = "rail-wall") -> str:
    return reverse("place", args=[site.project.uid, place])


@pytest.mark.parametrize("name", ["coordinator", "contractor", "crew"])
def test_its_work_opens_with_its_state_and_who_does_it(site: Site, seen_by: Any, name: str) -> None:
    works = seen_by(name).get(page(site)).context["sheet"].works
    assert [(work.name, work.state, work.note) for work in works] == [
        ("Backing", "ready", "framing, Copper Creek Framing"),
        ("Board", "held", "drywall, Cold Spring Electric"),
    ]
    assert [work.href for work in works] == [
        reverse("task", args=[site.project.uid, site.task(key).uid])
        for key in ("backing@rail-wall", "board@rail-wall")
    ]


@pytest.mark.parametrize("name", ["framer", "electrician", "left", "owner", "stranger", "by link: owner"])
def test_for_others_it_is_not_there(site: Site, seen_by: Any, name: str) -> None:
    assert seen_by(name).get(page(site)).status_code == 404


@pytest.mark.parametrize("place", ["attic", "PIT", "pit'", "x" * 300])
def test_a_place_that_the_plan_does_not_have_is_not_there(site: Site, seen_by: Any, place: str) -> None:
    assert seen_by("contractor").get(page(site, place)).status_code == 404


def test_it_is_drawn_with_its_dimensions_in_a_table_and_says_what_is_assumed(
    site: Site, seen_by: Any
) -> None:
    answer = seen_by("contractor").get(page(site, "pit"))
    drawn = answer.context["sheet"].drawing
    assert drawn.table["caption"] == "Dimensions at this place"
    assert drawn.drawing.startswith("<svg ")
    assert "Drawn with assumed values where facts are still open." in text_of(answer)


def test_before_a_plan_stands_there_is_no_place(cast: Any, signed_in: Any) -> None:
    address = reverse("place", args=[cast.project.uid, "pit"])
    assert signed_in("contractor").get(address).status_code == 404


def test_nothing_can_be_posted_there(site: Site, seen_by: Any) -> None:
    assert seen_by("contractor").post(page(site)).status_code == 405


def test_it_costs_the_same_for_one_task_and_for_several(
    site: Site, seen_by: Any, django_assert_num_queries: Any
) -> None:
    client = seen_by("contractor")
    client.get(page(site))
    for place, number in (("hoistway", 1), ("pit", 2), ("rail-wall", 2)):
        with django_assert_num_queries(QUERIES):
            assert len(client.get(page(site, place)).context["sheet"].works) == number


QUERIES = 35
