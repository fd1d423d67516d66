"""Questions at the screens: in which order, what an answer needs, who may give it, what is said meanwhile."""

from dataclasses import replace
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from coordination.projects.models import FactEntry, PlanChange
from coordination.projects.queries import standing_facts
from coordination.record.models import Event
from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import read_facts
from coordination.siteprep.plan import Question, derive
from tests.gates.sites import JOB, Site, build

QUERIES = 19


@pytest.fixture
def site(db: Any, now: Any) -> Site:
    """A job of which only the depth of the pit is known: its plan asks for nearly everything."""
    site = build()
    site.accept(derive(read_facts({"pit.depth": '14"'}), load_catalogue()))
    return site


def page(site: Site) -> str:
    return reverse("questions", args=[site.project.uid])


def asked(answer: Any, fact: str) -> Any:
    return next(question for question in answer.context["asked"] if question.fact == fact)


def answer(**more: str) -> dict[str, str]:
    told = {"fact": "pit.sump", "pit.sump": "no", "pit.sump:state": "known"}
    return {**told, **{f"pit.sump:{name}": value for name, value in more.items()}}


def test_the_soonest_needed_comes_first(site: Site, seen_by: Any) -> None:
    days = [question.needed_by for question in seen_by("contractor").get(page(site)).context["asked"]]
    assert days == sorted(days)
    assert len(days) > 10


def test_a_question_says_who_decides_what_hangs_on_it_and_the_safe_way(site: Site, seen_by: Any) -> None:
    response = seen_by("contractor").get(page(site))
    question = asked(response, "pit.sump")
    assert question.decides == "the elevator authority"
    assert question.names[:1] == ("Get the building and trade permits",)
    assert question.safe_default.startswith("Form the sump recess in the pour")
    heads = asked(response, "sprinkler.pit")
    assert heads.decides == "the fire authority"


@pytest.mark.parametrize("name", ["contractor", "coordinator"])
def test_an_answer_is_entered_and_waits_to_be_accepted(site: Site, seen_by: Any, name: str) -> None:
    client = seen_by(name)
    sent = answer(said_by="Elevator authority, Mr Poe", source="letter of 3 March")
    assert client.post(page(site), sent).status_code == 302
    fact = standing_facts(site.project)["pit.sump"]
    assert (fact.state, fact.value, fact.said_by, fact.source) == (
        "known",
        False,
        "Elevator authority, Mr Poe",
        "letter of 3 March",
    )
    assert PlanChange.objects.filter(project=site.project, state="open").count() == 1
    shown = asked(client.get(page(site)), "pit.sump").answered
    assert shown == "no (Elevator authority, Mr Poe, letter of 3 March, Wed 4 Mar 2026)"


def test_only_assumed_is_kept_as_assumed(site: Site, seen_by: Any) -> None:
    seen_by("contractor").post(page(site), {**answer(), "pit.sump:state": "assumed"})
    assert standing_facts(site.project)["pit.sump"].state == "assumed"


def test_pressing_twice_answers_once(site: Site, seen_by: Any) -> None:
    client = seen_by("contractor")
    client.post(page(site), answer())
    before = Event.objects.count()
    assert client.post(page(site), answer()).status_code == 302
    assert (Event.objects.count(), FactEntry.objects.filter(key="pit.sump").count()) == (before, 1)


def test_another_answer_to_what_was_answered_is_refused_by_name(site: Site, seen_by: Any) -> None:
    seen_by("coordinator").post(page(site), answer())
    response = seen_by("contractor").post(page(site), {**answer(), "pit.sump": "yes"})
    assert response.status_code == 422
    assert "This question was answered already: no, said by Ida Marsh." in response.content.decode()
    assert standing_facts(site.project)["pit.sump"].value is False


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"pit.sump": ""}, "known"),
        ({"pit.sump": "perhaps"}, "perhaps"),
        ({"fact": "nonsense"}, "nonsense"),
        ({"fact": ""}, "This was not done"),
    ],
)
def test_what_is_no_answer_is_said_and_changes_nothing(
    site: Site, seen_by: Any, sent: dict[str, str], said: str
) -> None:
    before = Event.objects.count()
    response = seen_by("contractor").post(page(site), {**answer(source="my note"), **sent})
    assert (response.status_code, Event.objects.count()) == (422, before)
    errors = " ".join(response.context["form"].errors)
    assert said in errors or said == "This was not done"
    assert errors
    if sent.get("fact") is None:
        assert 'value="my note"' in response.content.decode()


@pytest.mark.parametrize("name", ["electrician", "framer", "left", "owner", "stranger"])
def test_for_others_the_page_is_not_there(site: Site, seen_by: Any, name: str) -> None:
    client = seen_by(name)
    assert [client.get(page(site)).status_code, client.post(page(site), answer()).status_code] == [404, 404]


def test_the_lift_crew_reads_but_does_not_answer(site: Site, seen_by: Any) -> None:
    client = seen_by("crew")
    text = client.get(page(site)).content.decode()
    assert ("Enter the answer" in text, client.post(page(site), answer()).status_code) == (False, 404)


def test_nor_for_another_suppliers_coordinator(site: Site, seen_by: Any) -> None:
    far = build("far.")
    assert seen_by("coordinator").get(page(far)).status_code == 404
    assert seen_by("coordinator").post(page(far), answer()).status_code == 404


def test_the_page_costs_the_same_for_one_question_and_many(
    db: Any, now: Any, django_assert_num_queries: Any
) -> None:
    site, client = build(), Client()
    site.accept(replace(JOB, questions=(Question("pit.sump", {"en": "A sump?"}, "elevator", ()),)))
    client.force_login(site.cast.people["contractor"])
    with django_assert_num_queries(QUERIES):
        assert len(client.get(page(site)).context["asked"]) == 1
    site.accept(derive(read_facts({"pit.depth": '14"'}), load_catalogue()))
    with django_assert_num_queries(QUERIES):
        assert len(client.get(page(site)).context["asked"]) > 10
