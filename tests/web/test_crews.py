"""Crews over all sites at the screens."""

import re
import uuid
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from coordination.access import actions as access
from coordination.console.background_work import WORKS
from coordination.dates.levelling_runs import run_levelling
from coordination.dates.models import Crew, Levelling, SiteAsks, Way
from tests.dates.many_sites import crew, more_site
from tests.gates.sites import Site, build
from tests.standing_cast import AT, LATER, NOBODYS, gather
from tests.web.worked_site import words

LIST_QUERIES, ENTERING_QUERIES = 8, 12


@pytest.fixture
def site(db: Any, now: Any) -> Site:
    return build()


def browser(site: Site, name: str = "coordinator") -> Client:
    client = Client()
    client.force_login(site.cast.people[name])
    return client


def at(site: Site, name: str = "crews", *more: Any) -> str:
    return reverse(name, args=[site.cast.supplier.uid, *more])


def crew_form(site: Site, **altered: Any) -> dict[str, Any]:
    return {
        "doing": "crew",
        "subject": str(uuid.uuid4()),
        "of": f"{site.cast.companies['supplier'].uid}/lift",
        "name": "Van one",
        "people": "2",
        "weekdays": ["0", "1", "2", "3"],
        "away": "2026-04-01 to 2026-04-03, 2026-05-04",
        "home": "Depot",
        "latitude": "44.26",
        "longitude": "-72.58",
        **altered,
    }


@pytest.mark.parametrize("name", ["contractor", "crew", "electrician", "left", "owner", "stranger"])
def test_it_is_there_for_coordinators_of_the_supplier_alone(site: Site, name: str) -> None:
    row = Levelling.objects.create(
        supplier=site.cast.supplier, asked_at=AT, asked_by="x", input="{}", input_sha="x", seconds=1,
        event=site.project.event,
    )  # fmt: skip
    own = crew(site)
    for client in (browser(site, name), _other_suppliers_coordinator()):
        assert client.get(at(site)).status_code == 404
        assert client.get(at(site, "crews-entering")).status_code == 404
        assert client.post(at(site, "crews-level"), {"seconds": "5"}).status_code == 404
        assert client.post(at(site, "crews-stop", row.uid)).status_code == 404
        assert (
            client.post(at(site, "crews-entering"), {"doing": "end", "subject": own.uid}).status_code == 404
        )
    row.refresh_from_db()
    own.refresh_from_db()
    assert (row.stop_asked_at, own.ended_at, Levelling.objects.count()) == (None, None, 1)


def _other_suppliers_coordinator() -> Client:
    client = Client()
    client.force_login(gather(f"{uuid.uuid4().hex[:6]}.").people["coordinator"])
    return client


def test_who_is_not_signed_in_is_asked_to(site: Site, client: Client) -> None:
    assert client.get(at(site)).status_code == 302
    assert client.post(at(site, "crews-level"), {"seconds": "5"}).status_code == 302


def test_the_list_of_sites_leads_there_for_the_coordinator_alone(site: Site) -> None:
    assert at(site) in browser(site).get(reverse("sites")).content.decode()
    for name in ("contractor", "crew"):
        assert "crews/" not in browser(site, name).get(reverse("sites")).content.decode()


def test_a_crew_is_entered_once_and_altered(site: Site) -> None:
    client, form = browser(site), crew_form(site)
    for _press in (1, 2):
        assert client.post(at(site, "crews-entering"), form).status_code == 302
    row = Crew.objects.get()
    assert (row.name, row.people, row.weekdays, row.home) == ("Van one", 2, [0, 1, 2, 3], "Depot")
    assert row.away == ["2026-04-01", "2026-04-02", "2026-04-03", "2026-05-04"]
    page = client.get(at(site, "crews-entering"))
    assert "Elevator installer: Low Rise Lift Supply; 2 people; from Depot" in words(page)
    client.post(at(site, "crews-entering"), {**form, "people": "3", "away": ""})
    row.refresh_from_db()
    assert (row.people, row.away) == (3, [])
    client.post(at(site, "crews-entering"), {"doing": "end", "subject": form["subject"]})
    assert "Van one" not in words(client.get(at(site, "crews-entering"))).partition("Enter a crew")[0]


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (
            {"away": "in spring"},
            "“in spring” is no day; write it like 2026-12-24, or 2026-12-24 to 2027-01-02.",
        ),
        ({"away": "2026-04-03 to 2026-04-01"}, "the last day is the same day or a later one, within a year."),
        ({"people": "0"}, "Ensure this value is greater than or equal to 1."),
        ({"weekdays": []}, "This field is required."),
        ({"longitude": ""}, "give both or none."),
        ({"of": f"{NOBODYS}/lift"}, "Select a valid choice."),
        ({"name": " "}, "This field is required."),
    ],
)
def test_wrong_input_is_named_and_nothing_is_kept(site: Site, wrong: dict[str, Any], said: str) -> None:
    answer = browser(site).post(at(site, "crews-entering"), crew_form(site, **wrong))
    assert answer.status_code == 422
    assert said in words(answer)
    assert 'role="alert"' in answer.content.decode()
    assert not Crew.objects.exists()


def test_what_a_site_asks_and_ways_are_entered_for_own_sites_only(site: Site) -> None:
    other, client = more_site(site, "Mill Street"), browser(site)
    asked = {"doing": "site", "subject": str(other.project.uid), "weight": "4", "wish": "2026-04-20"}
    assert client.post(at(site, "crews-entering"), asked).status_code == 302
    row = SiteAsks.objects.get()
    assert (row.project, row.weight, row.wish) == (other.project, 4, date(2026, 4, 20))
    assert "A day late weighs 4. Would have the crew on Mon 20 Apr" in words(
        client.get(at(site, "crews-entering"))
    )
    way = {"doing": "way", "one": str(site.project.uid), "other": str(other.project.uid), "days": "2"}
    assert client.post(at(site, "crews-entering"), way).status_code == 302
    assert Way.objects.get().days == 2
    same = client.post(at(site, "crews-entering"), {**way, "other": way["one"]})
    assert (same.status_code, "Choose two different sites." in words(same)) == (422, True)
    heavy = client.post(at(site, "crews-entering"), {**asked, "weight": "10"})
    assert (heavy.status_code, SiteAsks.objects.get().weight) == (422, 4)
    foreign = gather("foreign.").project
    for swapped in ({**asked, "subject": str(foreign.uid)}, {**asked, "subject": "x"}, {"doing": "x"}):
        assert client.post(at(site, "crews-entering"), swapped).status_code == 404
    assert client.post(at(site, "crews-entering"), {**way, "other": str(foreign.uid)}).status_code == 422
    assert (Way.objects.count(), SiteAsks.objects.count()) == (1, 1)


def test_from_asking_to_the_picture(site: Site) -> None:
    more_site(site, "Mill Street")
    client = browser(site)
    assert "No crew has been entered yet." in words(client.get(at(site)))
    crew(site)
    assert "Nobody has asked yet who goes where when." in words(client.get(at(site)))
    for _press in (1, 2):
        assert client.post(at(site, "crews-level"), {"seconds": "5"}).status_code == 302
    row = Levelling.objects.get()
    waiting = client.get(at(site)).content.decode()
    assert 'hx-trigger="every 1s"' in waiting
    assert "Stop, and keep the best" in waiting
    assert "Look again" in waiting
    for _press in (1, 2):
        assert client.post(at(site, "crews-stop", row.uid)).status_code == 302
    assert "It stops, and keeps its best." in words(client.get(at(site)))
    assert [work.find(LATER) for work in WORKS if work.kind == "levelling"] == [[str(row.uid)]]
    run_levelling(str(row.uid))
    done = client.get(at(site))
    page, text = done.content.decode(), words(done)
    assert "hx-trigger" not in page
    assert len(re.findall(r'class="picture-bar', page)) == 4  # two stays, at a desk and on a phone
    for said in (
        "Van one, Low Rise Lift Supply, 2 people", "Harrow Lane", "Mill Street", "Rails, jack and doors",
        "What it means for each site", "What each wish costs the others", "to be served first", "asked for by Ida Marsh",
    ):  # fmt: skip
        assert said in text
    address = re.search(r'href="([^"]+)">see this day, and book it', page)
    assert address is not None
    visit = client.get(address[1].replace("&amp;", "&"))
    assert visit.context["day"] == visit.context["booking"].initial["day"]
    assert client.post(at(site, "crews-stop", NOBODYS)).status_code == 404


def test_a_wrong_time_and_nothing_to_level_are_said_in_place(site: Site) -> None:
    client = browser(site)
    none = client.post(at(site, "crews-level"), {"seconds": "5"})
    assert (none.status_code, "Enter a crew first" in words(none)) == (422, True)
    crew(site)
    wrong = client.post(at(site, "crews-level"), {"seconds": "4000"})
    assert (wrong.status_code, Levelling.objects.count()) == (422, 0)


def test_sites_of_another_coordinator_stay_unnamed(site: Site) -> None:
    """A second coordinator of the supplier stands on one site alone: the crews' days elsewhere are seen, not where."""
    other = more_site(site, "Mill Street")
    second = access.add_person("second@site.example", "Una Second")
    access.add_member(
        other.project, other.who("coordinator"), other.step(), person=second,
        company=site.cast.companies["supplier"], role="coordinator",
    )  # fmt: skip
    crew(site)
    browser(site).post(at(site, "crews-level"), {"seconds": "5"})
    run_levelling(str(Levelling.objects.get().uid))
    client = Client()
    client.force_login(second)
    page = client.get(at(site)).content.decode()
    assert "Mill Street" in page
    assert "Harrow Lane" not in page
    assert str(site.project.uid) not in page.replace(at(site), "")
    assert "A site of another coordinator" in page
    entering = client.get(at(site, "crews-entering")).content.decode()
    assert "Harrow Lane" not in entering


def test_pages_cost_the_same_for_one_site_and_three(site: Site, django_assert_num_queries: Any) -> None:
    crew(site)
    client = browser(site)

    def levelled() -> None:
        client.post(at(site, "crews-level"), {"seconds": "5"})
        row = Levelling.objects.get(ended_at__isnull=True)
        client.post(at(site, "crews-stop", row.uid))
        run_levelling(str(row.uid))

    levelled()
    client.get(at(site))
    with django_assert_num_queries(LIST_QUERIES):
        client.get(at(site))
    with django_assert_num_queries(ENTERING_QUERIES):
        client.get(at(site, "crews-entering"))
    for name in ("Mill Street", "Weir Lane"):
        more_site(site, name)
    crew(site, "Van two")
    levelled()
    with django_assert_num_queries(LIST_QUERIES):
        client.get(at(site))
    with django_assert_num_queries(ENTERING_QUERIES):
        client.get(at(site, "crews-entering"))
