"""The reviewer's queue: whose word is awaited, in which order, accepting and refusing, and the next one."""

from dataclasses import replace
from typing import Any

import pytest
from django.test import Client

from coordination.evidence.models import Review
from tests.gates.sites import BACKING, JOB, TEXTED, Site, build
from tests.standing_cast import NOBODYS
from tests.web.worked_site import FOR_THE_SITES_PEOPLE, browse, by_link, page, site, words

__all__ = ["browse", "by_link", "site"]
LEFT, SPREAD = "backing@rail-wall#left", "backing@rail-wall#spread"
HTMX = {"HX-Request": "true"}
QUERIES = 34


@pytest.fixture
def shown(site: Site) -> Site:
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    return site


def post(client: Client, site: Site, need: str, **told: Any) -> Any:
    return client.post(page(site, "review", site.need(need).uid), told, headers=HTMX)


def queue(client: Client, site: Site) -> list[tuple[str, bool]]:
    context = client.get(page(site, "reviews")).context
    first = [context["looked_at"].line] if context["looked_at"] else []
    return [(line.name, line.deputy) for line in (*first, *context["lines"])]


@FOR_THE_SITES_PEOPLE
def test_who_has_a_queue(site: Site, browse: Any, name: str, status: int) -> None:
    assert browse(name).get(page(site, "reviews")).status_code == status


def test_reviewer_and_deputy_both_see_it_and_know_which_they_are(shown: Site, browse: Any) -> None:
    assert queue(browse("contractor"), shown) == [("Photo", False), ("spread", True)]
    assert queue(browse("coordinator"), shown) == [("Photo", True), ("spread", False)]
    assert queue(browse("crew"), shown) == []
    assert "Nothing waits for your word." in words(browse("crew").get(page(shown, "reviews")))


def test_what_a_crew_waits_for_comes_before_what_is_due_sooner(shown: Site, browse: Any) -> None:
    shown.step(days=1)
    shown.photo(LEFT, "framer")
    assert [name for name, _deputy in queue(browse("contractor"), shown)] == ["spread", "Photo"]
    shown.offer(BACKING.key, "framer", crew_waiting=True)
    answer = browse("contractor").get(page(shown, "reviews"))
    assert "A crew is waiting." in words(answer)


def test_work_about_to_be_covered_is_due_within_four_working_hours(shown: Site, browse: Any) -> None:
    """Handed in on Monday, 2 March at half past eleven there: due the same afternoon."""
    line = browse("contractor").get(page(shown, "reviews")).context["looked_at"].line
    assert (line.answer_by - line.since).total_seconds() < 24 * 3600
    assert line.late is True
    assert "the answer was due" in words(browse("contractor").get(page(shown, "reviews")))


def test_what_came_stands_beside_what_was_asked(shown: Site, browse: Any) -> None:
    answer = browse("contractor").get(page(shown, "reviews"))
    looked_at = answer.context["looked_at"]
    assert (looked_at.need.text, len(looked_at.need.figures), looked_at.phone) == ("Photo", 1, "555-0142")
    assert "tel:5550142" in answer.content.decode()


def test_accepting_gives_the_next_one(shown: Site, browse: Any) -> None:
    client = browse("contractor")
    answer = post(client, shown, LEFT, outcome="accepted")
    assert (answer.status_code, answer.context["looked_at"].need.text) == (200, "spread")
    assert "Accepted." in words(answer)
    assert "<html" not in answer.content.decode()
    assert Review.objects.get().outcome == "accepted"


def test_without_script_it_leads_back_to_the_queue(shown: Site, browse: Any) -> None:
    address = page(shown, "review", shown.need(LEFT).uid)
    answer = browse("contractor").post(address, {"outcome": "accepted"})
    assert answer.headers["Location"] == page(shown, "reviews")


def test_a_second_press_is_harmless(shown: Site, browse: Any) -> None:
    for _press in range(2):
        assert post(browse("contractor"), shown, LEFT, outcome="accepted").status_code == 200
    assert Review.objects.count() == 1


def test_refusing_needs_reasons_and_keeps_what_was_written(shown: Site, browse: Any) -> None:
    client = browse("contractor")
    bare = post(client, shown, LEFT, outcome="refused")
    assert (bare.status_code, "Say why it is refused" in words(bare)) == (422, True)
    assert Review.objects.count() == 0
    told = {
        "outcome": "refused",
        "reasons": ["tape-unreadable", "other-view"],
        "words": "Stand further left.",
    }
    assert post(client, shown, LEFT, **told).status_code == 200
    assert Review.objects.get().reasons == [
        "It shows something else than was asked for.",
        "The tape or the mark cannot be read.",
        "Stand further left.",
    ]
    assert shown.task(BACKING.key).finished_on is None


@pytest.mark.parametrize("told", [{}, {"outcome": "maybe"}, {"outcome": "refused", "reasons": ["nothing"]}])
def test_what_is_no_word_changes_nothing(shown: Site, browse: Any, told: dict[str, Any]) -> None:
    answer = post(browse("contractor"), shown, LEFT, **told, words="half a sentence")
    assert answer.status_code == 422
    assert "half a sentence" in answer.content.decode()
    assert Review.objects.count() == 0


def test_out_of_tolerance_cannot_be_accepted(site: Site, browse: Any) -> None:
    site.start(BACKING.key, "framer")
    site.read(SPREAD, "framer", '33"')
    client = browse("coordinator")
    shown = client.get(page(site, "reviews"))
    assert 'value="accepted"' not in shown.content.decode()
    assert "It is outside the tolerance" in words(shown)
    answer = post(client, site, SPREAD, outcome="accepted")
    assert (answer.status_code, Review.objects.count()) == (422, 0)


def test_nobody_judges_their_own_entry_of_lift_critical_work(site: Site, browse: Any) -> None:
    site.start(BACKING.key, "framer")
    site.read(SPREAD, "coordinator", '30"', for_other=TEXTED)
    client = browse("coordinator")
    assert "You entered this yourself; somebody else must judge it." in words(
        client.get(page(site, "reviews"))
    )
    answer = post(client, site, SPREAD, outcome="accepted")
    assert (answer.status_code, "somebody else must judge it" in words(answer)) == (422, True)
    assert post(browse("contractor"), site, SPREAD, outcome="accepted").status_code == 200


@pytest.mark.parametrize(
    ("name", "status"), [("crew", 404), ("framer", 404), ("owner", 404), ("left", 404), ("stranger", 404)]
)
def test_nobody_else_says_a_word(shown: Site, browse: Any, name: str, status: int) -> None:
    assert post(browse(name), shown, LEFT, outcome="accepted").status_code == status
    assert Review.objects.count() == 0


def test_ids_of_another_site_or_of_nothing(shown: Site, browse: Any) -> None:
    far = build("far.")
    client = browse("contractor")
    for uid in (far.need(LEFT).uid, NOBODYS):
        assert client.post(page(shown, "review", uid), {"outcome": "accepted"}).status_code == 404
    assert client.get(f"{page(shown, 'reviews')}?look=x").status_code == 200


def test_one_that_was_asked_for_is_shown_and_next_leads_around(shown: Site, browse: Any) -> None:
    client = browse("contractor")
    answer = client.get(f"{page(shown, 'reviews')}?look={shown.need(SPREAD).uid}")
    assert (answer.context["looked_at"].need.text, answer.context["following"].name) == ("spread", "Photo")


def test_the_queue_costs_the_same_for_one_and_three(
    site: Site, browse: Any, django_assert_num_queries: Any
) -> None:
    more = [replace(need, key=name) for need in BACKING.requirements[:1] for name in ("right", "top")]
    site.accept(
        replace(JOB, tasks=(replace(BACKING, requirements=(*BACKING.requirements, *more)), *JOB.tasks[1:]))
    )
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    client = browse("contractor")
    client.get(page(site, "reviews"))
    with django_assert_num_queries(QUERIES):
        assert client.get(page(site, "reviews")).context["number"] == 1
    site.photo("backing@rail-wall#right", "framer"), site.photo("backing@rail-wall#top", "framer")
    with django_assert_num_queries(QUERIES):
        assert client.get(page(site, "reviews")).context["number"] == 3
