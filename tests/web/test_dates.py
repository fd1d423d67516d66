"""Dates and visits at the screens."""

import re
import uuid
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from coordination.dates.forecasting import outlook_of
from coordination.dates.models import Visit
from coordination.dates.queries import schedule_of
from coordination.dates.visiting import WORK
from coordination.record.models import Event
from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import load_facts
from coordination.siteprep.plan import derive
from coordination.web.shapes.visit_lines import NAMES
from coordination.web.texts import on_day
from tests.gates.sites import BACKING, Site, build
from tests.standing_cast import LATER, gather
from tests.web.test_new_site import FIXTURES

DATE_QUERIES = 36
VISIT_QUERIES = 32
DAY = LATER.date()


@pytest.fixture
def whole(db: Any, now: Any) -> Site:
    """A site with the plan of the candle works."""
    site = Site(gather())
    site.accept(derive(load_facts(FIXTURES / "facts" / "candle-works.toml"), load_catalogue()))
    return site


@pytest.fixture
def seen_by(request: pytest.FixtureRequest) -> Any:
    site = request.getfixturevalue("whole" if "whole" in request.fixturenames else "site")

    def browse(name: str) -> Client:
        client = Client()
        client.force_login(site.cast.people[name])
        return client

    return browse


def page(site: Site, name: str = "dates") -> str:
    return reverse(name, args=[site.project.uid])


def booking(**altered: str) -> dict[str, str]:
    return {"key": "rails", "day": "2026-06-10", "confirm_by": "2026-06-05", "cost": "1850", **altered}


def test_every_task_has_its_days_and_a_reason(whole: Site, seen_by: Any) -> None:
    answer = seen_by("contractor").get(page(whole))
    dated = schedule_of(whole.project, DAY)
    lines = [*answer.context["gates"], *answer.context["to_come"], *answer.context["finished"]]
    assert {line.key for line in lines} == set(dated.tasks)
    assert [line.key for line in lines if not line.why] == []
    by_key = {line.key: line for line in lines}
    assert by_key["pour@pit"].why == "after “Inspect steel and forms before the pour”"
    assert {line.float_words for line in lines if line.critical} >= {"none"}


def test_work_of_one_name_is_told_apart_by_its_place(whole: Site, seen_by: Any) -> None:
    answer = seen_by("contractor").get(page(whole))
    lines = [*answer.context["gates"], *answer.context["to_come"]]
    alike = [line for line in lines if line.name == "Hang and align the hoistway door"]
    assert len({line.trade for line in alike}) == len(alike) == 2
    [closing] = [line.why for line in lines if line.name == "Doors hung and aligned, released to close in"]
    assert re.fullmatch(r"after “Landing .+: Hang and align the hoistway door”", closing)


def test_the_work_to_come_is_folded_by_month(whole: Site, seen_by: Any) -> None:
    text = seen_by("contractor").get(page(whole)).content.decode()
    months = re.findall(r'<details class="folded"( open)?><summary><h3>(\w+ 20\d\d)</h3>', text)
    assert [name for _open, name in months] == list(dict.fromkeys(name for _open, name in months))
    assert [bool(is_open) for is_open, _name in months] == [True] + [False] * (len(months) - 1)


def test_the_chart_shows_every_bar_and_gate_on_both_sheets(whole: Site, seen_by: Any) -> None:
    answer = seen_by("contractor").get(page(whole))
    for name in ("sheet", "phone"):
        assert answer.context[name].count("data-task=") == len(answer.context["to_come"])
        for gate in answer.context["gates"]:
            assert gate.name in answer.context[name]


def test_each_gate_to_come_has_its_forecast_in_the_chart(whole: Site, seen_by: Any) -> None:
    """The sure day that the picture tells is the one of the outlook."""
    answer, outlook = seen_by("contractor").get(page(whole)), outlook_of(whole.project, DAY)
    days = {outlook.sure[key].at(0.8).last_day for key in outlook.dated.milestones.values()}
    for day in days:
        assert f"8 of 10 by {on_day(day)} {day.year}" in answer.context["sheet"]


def test_bars_of_the_same_name_say_where_they_are(whole: Site, seen_by: Any) -> None:
    chart = seen_by("contractor").get(page(whole)).context["sheet"]
    names = re.findall(r'<g class="picture-bar[^>]*><title>(.*?): \w{3} \d', chart)
    assert len(names) > 30
    assert len(names) == len(set(names))


def test_work_finished_long_ago_leaves_the_chart_and_stays_in_the_table(site: Site, seen_by: Any) -> None:
    site.back()
    answer = seen_by("contractor").get(page(site))
    assert "backing" in [line.name for line in answer.context["finished"]]


def test_without_a_plan_the_page_says_so(cast: Any, signed_in: Any) -> None:
    text = signed_in("contractor").get(reverse("dates", args=[cast.project.uid])).content.decode()
    assert "There are no dates yet" in text


@pytest.mark.parametrize("sheet", ["dates", "visits"])
@pytest.mark.parametrize("name", ["framer", "left", "owner", "stranger"])
def test_for_others_the_pages_are_not_there(site: Site, seen_by: Any, name: str, sheet: str) -> None:
    assert seen_by(name).get(page(site, sheet)).status_code == 404


def test_each_visit_names_the_gate_in_front_and_what_is_missing(whole: Site, seen_by: Any) -> None:
    lines = {line.key: line for line, _form in seen_by("crew").get(page(whole, "visits")).context["visits"]}
    assert list(lines) == ["rails", "return", "inspection"] == list(NAMES)
    named = {key: [gate.name for gate in line.gates] for key, line in lines.items()}
    assert "Ready for the elevator crew" in named["rails"]
    assert named["inspection"] == ["Ready for the acceptance inspection"]
    assert all(gate.missing for line in lines.values() for gate in line.gates)
    days = [line.earliest for line in lines.values()]
    assert days == sorted(days)


def test_the_work_of_every_visit_is_in_the_catalogue() -> None:
    entries = {
        task.entry
        for task in derive(load_facts(FIXTURES / "facts" / "candle-works.toml"), load_catalogue()).tasks
    }
    assert {entry for listed in WORK.values() for entry in listed} - entries == set()


def test_a_visit_is_booked_once_and_moved(whole: Site, seen_by: Any) -> None:
    client, before = seen_by("coordinator"), Event.objects.count()
    assert [client.post(page(whole, "visits"), booking()).status_code for _ in range(2)] == [302, 302]
    visit = Visit.objects.get()
    assert (visit.day, visit.confirm_by, visit.wasted_trip_cents) == (
        date(2026, 6, 10),
        date(2026, 6, 5),
        185_000,
    )
    assert Event.objects.count() == before + 1
    moved = booking(booking=str(visit.uid), day="2026-06-17", confirm_by="2026-06-12")
    assert [client.post(page(whole, "visits"), moved).status_code for _ in range(2)] == [302, 302]
    [line] = [line for line, _form in client.get(page(whole, "visits")).context["visits"] if line.booked]
    assert (line.booked.day, line.moved_from, line.cost) == (
        date(2026, 6, 17),
        (date(2026, 6, 10),),
        "1,850.00",
    )


def test_a_visit_before_the_plan_reaches_it_is_said(whole: Site, seen_by: Any) -> None:
    client = seen_by("coordinator")
    client.post(page(whole, "visits"), booking(day="2026-03-06", confirm_by="2026-03-04"))
    [line] = [line for line, _form in client.get(page(whole, "visits")).context["visits"] if line.booked]
    assert (line.too_early, line.confirm_now) == (True, True)


@pytest.mark.parametrize(
    ("altered", "said"),
    [
        ({"day": ""}, "This field is required."),
        ({"day": "soon"}, "Enter a valid date."),
        ({"day": "2026-03-01", "confirm_by": "2026-02-01"}, "is over; choose a day to come."),
        ({"confirm_by": "2026-06-11"}, "cannot be after the visit"),
        ({"cost": "-5"}, "greater than or equal to 0"),
    ],
)
def test_a_booking_that_cannot_be_is_said_and_not_kept(
    whole: Site, seen_by: Any, altered: dict[str, str], said: str
) -> None:
    answer = seen_by("coordinator").post(page(whole, "visits"), booking(**altered))
    assert (answer.status_code, Visit.objects.count(), answer.context["sent_key"]) == (422, 0, "rails")
    assert said in answer.content.decode()


def test_a_booking_that_somebody_moved_meanwhile_is_said(whole: Site, seen_by: Any) -> None:
    client = seen_by("coordinator")
    client.post(page(whole, "visits"), booking())
    old = str(Visit.objects.get().uid)
    client.post(page(whole, "visits"), booking(booking=old, day="2026-06-17"))
    answer = client.post(page(whole, "visits"), booking(booking=old, day="2026-06-24"))
    assert answer.status_code == 422
    assert "This booking was moved in the meantime" in answer.content.decode()


def test_a_booking_that_is_none_or_anothers_is_not_there(whole: Site, seen_by: Any) -> None:
    far, client = build("far."), seen_by("coordinator")
    theirs = Client()
    theirs.force_login(far.cast.people["coordinator"])
    theirs.post(page(far, "visits"), booking())
    foreign = str(Visit.objects.get().uid)
    sent = [booking(booking=uid) for uid in (foreign, str(uuid.uuid4()), "x")] + [booking(key="party")]
    assert [client.post(page(whole, "visits"), each).status_code for each in sent] == [404] * 4
    assert Visit.objects.count() == 1


@pytest.mark.parametrize("name", ["contractor", "crew", "framer"])
def test_only_the_coordinator_books(whole: Site, seen_by: Any, name: str) -> None:
    assert seen_by(name).post(page(whole, "visits"), booking()).status_code == 404


def test_the_pages_cost_the_same_however_much_there_is(
    site: Site, seen_by: Any, django_assert_num_queries: Any
) -> None:
    client = seen_by("coordinator")
    for turn in range(2):
        client.get(page(site)), client.get(page(site, "visits"))
        with django_assert_num_queries(DATE_QUERIES):
            client.get(page(site))
        with django_assert_num_queries(VISIT_QUERIES):
            client.get(page(site, "visits"))
        if not turn:
            site.start(BACKING.key, "framer")
            client.post(page(site, "visits"), booking())
            client.post(page(site, "visits"), booking(key="return"))
