"""Today's calls: over all sites that somebody coordinates, what blocks a visit, who owes it, logged with one touch."""

import re
import uuid
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from coordination.access import actions as access
from coordination.dates.models import Call
from coordination.record.models import Event
from tests.gates.sites import Site
from tests.gates.visit_sites import VISITING, book, visiting_site
from tests.standing_cast import AT

QUERIES = 36


@pytest.fixture
def site(db: Any, now: Any) -> Site:
    return visiting_site()


@pytest.fixture
def seen_by(site: Site) -> Any:
    def browse(name: str, at: Site | None = None) -> Client:
        client = Client()
        client.force_login((at or site).cast.people[name])
        return client

    return browse


def calls(answer: Any) -> list[tuple[str, str, str, str]]:
    """(site, visit, whom, telephone) of each call to make."""
    return [
        (each.project.name, each.visit, call.owner, call.phone)
        for each in answer.context["blocked"]
        for call in each.calls
    ]


def touch(client: Client, site: Site, **altered: str) -> Any:
    told = {"key": str(uuid.uuid4()), "visit": "rails", "owner": "Copper Creek Framing", "phone": "555-0142"}
    return client.post(reverse("call", args=[site.project.uid]), {**told, "outcome": "reached", **altered})


def second(site: Site, name: str) -> Site:
    """Another site of the same coordinator, with the same plan."""
    cast = site.cast
    told = {"name": name, "place": "", "zone": "America/New_York", "at": AT}
    project = access.open_project(
        cast.supplier, cast.people["coordinator"], cast.companies["supplier"], **told
    )
    other = Site(type(cast)(**{**vars(cast), "project": project}))
    other.accept(VISITING)
    return other


def test_who_blocks_a_visit_of_the_next_three_weeks_is_to_be_called(site: Site, seen_by: Any) -> None:
    client = seen_by("coordinator")
    book(site)
    answer = client.get(reverse("calls"))
    assert calls(answer) == [("Harrow Lane", "rails", "Copper Creek Framing", "555-0142")]
    [blocked] = answer.context["blocked"]
    assert (blocked.day, blocked.booked, blocked.confirm_by) == (date(2026, 3, 16), True, date(2026, 3, 11))
    assert [item.sentence for item in blocked.calls[0].about] == ["Backing has not begun"]
    text = answer.content.decode()
    assert 'href="tel:5550142"' in text
    assert "not called yet" in text


def test_a_visit_that_is_not_booked_counts_by_the_plan(site: Site, seen_by: Any) -> None:
    [blocked, *_rest] = seen_by("coordinator").get(reverse("calls")).context["blocked"]
    assert (blocked.visit, blocked.booked) == ("rails", False)


@pytest.mark.parametrize(
    ("confirm_by", "is_due"),
    [(date(2026, 3, 23), True), (date(2026, 3, 25), True), (date(2026, 3, 26), False)],
)
def test_a_later_visit_counts_once_it_must_be_confirmed_within_three_weeks(
    site: Site, seen_by: Any, confirm_by: date, is_due: bool
) -> None:
    book(site, date(2026, 4, 9), confirm_by=confirm_by)
    blocked = seen_by("coordinator").get(reverse("calls")).context["blocked"]
    assert ("rails" in [each.visit for each in blocked]) is is_due


def test_one_touch_logs_the_call_and_a_second_press_is_harmless(site: Site, seen_by: Any) -> None:
    client = seen_by("coordinator")
    book(site)
    page = client.get(reverse("calls")).content.decode()
    fields = dict(re.findall(r'type="hidden" name="(key|visit|owner|phone)" value="([^"]*)"', page))
    before = Event.objects.count()
    for _press in range(2):
        answer = client.post(reverse("call", args=[site.project.uid]), {**fields, "outcome": "no answer"})
        assert answer.status_code == 302
    assert Event.objects.count() == before + 1
    call = Call.objects.get()
    assert (call.owner, call.phone, call.visit, call.outcome) == (
        "Copper Creek Framing",
        "555-0142",
        "rails",
        "no answer",
    )
    after = client.get(reverse("calls"))
    [shown] = after.context["blocked"][0].calls
    assert (shown.last, shown.when) == (call, "Wed 4 Mar 2026, 10:30")
    assert "last tried, no answer" in after.content.decode()


def test_what_nobody_is_named_for_is_said(site: Site, seen_by: Any) -> None:
    book(site)
    other = second(site, "Quiet Row")
    answer = seen_by("coordinator").get(reverse("calls"))
    [quiet] = [each for each in answer.context["blocked"] if each.project == other.project]
    assert (quiet.calls, [line.sentence for line in quiet.nobody]) == ((), ["Backing has not begun"])


@pytest.mark.parametrize("name", ["contractor", "crew", "framer", "left", "owner", "stranger"])
def test_there_are_calls_for_coordinators_only(site: Site, seen_by: Any, name: str) -> None:
    assert seen_by(name).get(reverse("calls")).status_code == 404
    assert touch(seen_by(name), site).status_code == 404
    assert Call.objects.count() == 0


def test_whoever_is_not_signed_in_signs_in_first(site: Site) -> None:
    assert Client().get(reverse("calls")).status_code == 302
    assert touch(Client(), site).status_code == 404


def test_other_suppliers_sites_are_not_seen_nor_called_for(site: Site, seen_by: Any) -> None:
    far = visiting_site("far.")
    book(far)
    client = seen_by("coordinator")
    assert {each.project for each in client.get(reverse("calls")).context["blocked"]} == {site.project}
    assert touch(client, far).status_code == 404


@pytest.mark.parametrize(
    ("altered", "said"),
    [
        ({"visit": "party"}, "Say which visit"),
        ({"owner": " "}, "Say who was called"),
        ({"outcome": "sang"}, "Say what came of the call"),
    ],
)
def test_a_call_that_cannot_be_is_said(site: Site, seen_by: Any, altered: dict[str, str], said: str) -> None:
    answer = touch(seen_by("coordinator"), site, **altered)
    assert (answer.status_code, Call.objects.count()) == (422, 0)
    assert said in answer.content.decode()
    assert touch(seen_by("coordinator"), site, key="x").status_code == 404


def test_the_page_costs_the_same_at_one_and_three_sites(
    site: Site, seen_by: Any, django_assert_num_queries: Any
) -> None:
    client = seen_by("coordinator")
    book(site)
    for turn in range(2):
        client.get(reverse("calls"))
        with django_assert_num_queries(QUERIES):
            client.get(reverse("calls"))
        if not turn:
            others = [second(site, name) for name in ("Quiet Row", "Long Row")]
            for other in others:
                framer = site.cast.companies["framer"]
                access.assign_company(
                    other.project, other.who("coordinator"), other.step(), trade="framing", company=framer
                )
                book(other)
            touch(client, site)


def test_the_list_of_sites_leads_to_the_calls(site: Site, seen_by: Any) -> None:
    assert reverse("calls") in seen_by("coordinator").get(reverse("sites")).content.decode()
    assert reverse("calls") not in seen_by("contractor").get(reverse("sites")).content.decode()
