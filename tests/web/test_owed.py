"""Who owes what: each company by itself, telephones only for those who may see them, its float eaten."""

from dataclasses import replace
from typing import Any

import pytest
from django.test import Client

from coordination.dates.actions import ask_for_baseline
from tests.gates.sites import BACKING, JOB, RAILS, Site, reading
from tests.web.worked_site import FOR_THE_SITES_PEOPLE, browse, by_link, page, site, words

__all__ = ["browse", "by_link", "site"]
LEFT, SPREAD = "backing@rail-wall#left", "backing@rail-wall#spread"
QUERIES = 34


def lines(client: Client, site: Site, name: str = "owed") -> dict[str, list[str]]:
    companies = client.get(page(site, name)).context["companies"]
    return {company.name: [line.sentence for line in company.lines] for company in companies}


@pytest.fixture
def offered(site: Site) -> Any:
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    return site.offer(BACKING.key, "framer")


@FOR_THE_SITES_PEOPLE
def test_who_sees_the_whole_list(site: Site, browse: Any, name: str, status: int) -> None:
    assert browse(name).get(page(site, "owed")).status_code == status


@pytest.mark.parametrize(
    ("name", "status"),
    [("framer", 200), ("crew", 200), ("coordinator", 404), ("owner", 404), ("left", 404), ("stranger", 404)],
)
def test_who_has_a_page_of_their_own(site: Site, browse: Any, name: str, status: int) -> None:
    assert browse(name).get(page(site, "my-owed")).status_code == status


def test_every_company_with_what_it_owes_to_whom_and_since_when(
    site: Site, offered: Any, browse: Any
) -> None:
    answer = browse("contractor").get(page(site, "owed"))
    companies = {company.name: company for company in answer.context["companies"]}
    answer_line = next(line for line in companies["Low Rise Lift Supply"].lines if line.state == "offered")
    assert (answer_line.to, answer_line.since, answer_line.due, answer_line.late) == (
        ("Copper Creek Framing",),
        site.at.date(),
        offered.answer_by,
        True,
    )
    assert [(held.name, held.company, held.phone) for held in answer_line.held][:1] == [
        ("board", "Cold Spring Electric", "555-0121")
    ]
    assert companies["Low Rise Lift Supply"].phone == "555-0100"
    assert "no plan was kept to compare with" in words(answer)


def test_a_company_sees_only_its_own_and_no_telephone(site: Site, offered: Any, browse: Any) -> None:
    site.answer(offered, RAILS.key, "crew", "refused", "anchor side is open")
    answer = browse("framer").get(page(site, "my-owed"))
    assert set(lines(browse("framer"), site, "my-owed")) == {"Copper Creek Framing"}
    text = words(answer)
    assert "555-" not in text
    assert "Low Rise Lift Supply" in text


def test_by_link_it_is_the_same_page(site: Site, by_link: Any) -> None:
    text = words(by_link("framer").get(page(site, "my-owed")))
    assert "backing has not begun" in text.lower()
    assert "555-" not in text
    assert by_link("framer").get(page(site, "owed")).status_code == 404


def test_whoever_owes_nothing_is_told_so(site: Site, offered: Any, browse: Any) -> None:
    assert "You owe nothing just now." in words(browse("framer").get(page(site, "my-owed")))


def test_the_electrician_of_another_company_owes_nothing_of_it(site: Site, browse: Any) -> None:
    site.start("rough@pit", "electrician")
    assert lines(browse("other electrician"), site, "my-owed").keys() <= {"Cold Spring Electric"}


def test_float_eaten_is_told_once_a_plan_was_kept(site: Site, browse: Any) -> None:
    """Begun on 2 March with a plan kept that day; looked at on the screens' clock, days later."""
    visitor = site.who("coordinator")
    ask_for_baseline(site.project, visitor, site.step(), reason="as agreed", today=site.at.date())
    site.start(BACKING.key, "framer")
    answer = browse("contractor").get(page(site, "owed"))
    every = [line for company in answer.context["companies"] for line in company.lines]
    line = next(line for line in every if line.sentence == "Backing is not finished")
    assert line.float.waited is not None
    assert line.float.waited > 0
    assert line.float.eaten in range(line.float.waited + 1)
    assert f"{line.float.left} day" in words(answer)


def test_it_costs_the_same_for_one_thing_and_three(
    site: Site, browse: Any, django_assert_num_queries: Any
) -> None:
    more = [reading(BACKING.key, key, accepts="coordinator", deputy="contractor") for key in ("a", "b")]
    site.accept(
        replace(JOB, tasks=(replace(BACKING, requirements=(*BACKING.requirements, *more)), *JOB.tasks[1:]))
    )
    site.start(BACKING.key, "framer")
    site.read(SPREAD, "framer", '30"')
    client = browse("contractor")
    client.get(page(site, "owed"))
    with django_assert_num_queries(QUERIES):
        assert len(lines(client, site)["Low Rise Lift Supply"]) == 1
    site.read("backing@rail-wall#a", "framer", '30"'), site.read("backing@rail-wall#b", "framer", '30"')
    with django_assert_num_queries(QUERIES):
        assert len(lines(client, site)["Low Rise Lift Supply"]) == 3


def test_what_waits_for_a_reviewer_has_its_answer_time_before_anything_is_offered(
    site: Site, browse: Any
) -> None:
    site.start(BACKING.key, "framer")
    site.photo("backing@rail-wall#left", "framer")
    companies = browse("coordinator").get(page(site, "owed")).context["companies"]
    lines = [line for company in companies for line in company.lines if line.due is not None]
    assert [(line.work, line.late) for line in lines] == [("backing", True)]
