"""Calendar feeds, read back by a parser that shares nothing with the writer."""

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

import pytest
import vobject
from django.test import Client
from django.urls import reverse

from coordination.access import actions
from coordination.access.models import ShareLink
from coordination.dates.actions import book_visit, move_visit
from coordination.dates.models import CalendarEntry
from coordination.dates.queries import schedule_of
from coordination.projects.actions import set_task_dates
from tests.gates.sites import BACKING, BOARD, JOB, ROUGH, SWEEP, Site
from tests.standing_cast import NOBODYS, gather
from tests.web.worked_site import NOW, browse, by_link, page, site, words

__all__ = ["browse", "by_link", "site"]

FEED_QUERIES = 38
UNCHANGED_QUERIES = 5


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Callable[[datetime], None]:
    def turn(at: datetime) -> None:
        monkeypatch.setattr("django.utils.timezone.now", lambda: at)

    return turn


def sent(site: Site, company: str = "framer") -> str:
    """The token of a company's calendar on the project."""
    told = {"purpose": "calendar", "company": site.cast.companies[company], "holder": "office"}
    return actions.send_link(site.project, site.who("contractor"), site.step(), **told)[1]


def read(token: str, **headers: str) -> Any:
    return Client().get(reverse("feed", args=[token]), headers=headers)


def events(token: str) -> dict[str, Any]:
    """The events of a feed by the beginning of their names."""
    answer = read(token)
    assert answer.status_code == 200, answer.content
    found = vobject.readOne(answer.content.decode())
    found.validate()
    return {event.summary.value.partition(",")[0]: event for event in found.contents.get("vevent", [])}


def told(event: Any) -> tuple[str, int, str]:
    return event.uid.value, int(event.sequence.value), event.status.value


def name_of(task: Any) -> str:
    return str(task.text["en"])


def test_a_company_reads_its_own_work_as_whole_days(site: Site) -> None:
    found = events(sent(site))
    assert set(found) == {name_of(BACKING)}
    event, dates = found[name_of(BACKING)], schedule_of(site.project, NOW.date()).tasks[BACKING.key]
    assert (event.dtstart.value, event.dtend.value) == (dates.early_start, dates.early_boundary)
    assert event.dtend.value - timedelta(days=1) == dates.early_last_day
    assert (event.location.value, event.status.value, event.transp.value) == (
        site.project.place,
        "CONFIRMED",
        "TRANSPARENT",
    )
    assert event.dtstamp.value == event.last_modified.value == NOW.replace(microsecond=0)
    assert site.project.name in event.summary.value


def test_it_is_written_as_the_standard_asks(site: Site) -> None:
    """RFC 5545: 3.1 lines of at most 75 octets that end in CR LF; 3.6 the needed properties; 3.3.4 days."""
    answer = read(sent(site))
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    lines = answer.content.split(b"\r\n")
    assert lines[-1] == b""
    assert not any(b"\n" in line or b"\r" in line for line in lines)
    assert max(map(len, lines)) <= 75
    text = answer.content.replace(b"\r\n ", b"").decode()
    assert text.startswith("BEGIN:VCALENDAR\r\n")
    assert text.endswith("END:VCALENDAR\r\n")
    for needed in ("VERSION:2.0", "PRODID:", "CALSCALE:GREGORIAN", "UID:", "DTSTAMP:", "SEQUENCE:0"):
        assert f"\r\n{needed}" in text
    assert re.search(r"\r\nDTSTART;VALUE=DATE:\d{8}\r\nDTEND;VALUE=DATE:\d{8}\r\n", text)
    assert "\r\nX-" not in text
    assert "\r\nMETHOD" not in text


def test_read_twice_it_is_the_same_bytes(site: Site, clock: Callable[[datetime], None]) -> None:
    token = sent(site)
    first = read(token)
    clock(NOW + timedelta(minutes=20))
    assert read(token).content == first.content
    answer = read(token, if_none_match=first.headers["ETag"])
    assert (answer.status_code, answer.content) == (304, b"")
    assert first.headers["Last-Modified"] == "Thu, 05 Mar 2026 15:30:00 GMT"


def test_a_day_that_moves_keeps_its_identity_and_is_a_revision(
    site: Site,
    clock: Callable[[datetime], None],
) -> None:
    token = sent(site)
    before = events(token)[name_of(BACKING)]
    tag = read(token).headers["ETag"]
    later = date(2026, 4, 7)
    set_task_dates(
        site.project, site.who("contractor"), site.step(), site.task(BACKING.key).uid, not_before=later
    )
    clock(NOW + timedelta(hours=1))
    assert read(token, if_none_match=tag).status_code == 200
    after = events(token)[name_of(BACKING)]
    uid, sequence, _state = told(before)
    assert told(after) == (uid, sequence + 1, "CONFIRMED")
    assert after.dtstart.value == later
    assert after.last_modified.value == (NOW + timedelta(hours=1)).replace(microsecond=0)


def test_other_words_are_no_revision_but_a_later_time(
    site: Site,
    clock: Callable[[datetime], None],
) -> None:
    token = sent(site)
    before = events(token)[name_of(BACKING)]
    CalendarEntry.objects.update(text="something told before")
    clock(NOW + timedelta(hours=1))
    after = events(token)[name_of(BACKING)]
    assert told(after) == told(before)
    assert after.last_modified.value > before.last_modified.value


def test_work_that_leaves_the_plan_is_cancelled_and_comes_again(site: Site) -> None:
    token = sent(site, "contractor")
    uid, *_ = told(events(token)[name_of(SWEEP)])
    site.accept(replace(JOB, tasks=tuple(each for each in JOB.tasks if each.key != SWEEP.key)))
    assert told(events(token)[name_of(SWEEP)]) == (uid, 1, "CANCELLED")
    site.accept(JOB)
    assert told(events(token)[name_of(SWEEP)]) == (uid, 2, "CONFIRMED")


def test_another_company_takes_the_trade_over(site: Site) -> None:
    """For the old company its work is cancelled; the new one gets it under an identity of its own."""
    old, new = sent(site), sent(site, "other electrician")
    uid, *_ = told(events(old)[name_of(BACKING)])
    assert set(events(new)) == {name_of(BOARD)}
    company = site.cast.companies["other electrician"]
    actions.assign_company(
        site.project, site.who("coordinator"), site.step(), trade="framing", company=company
    )
    assert told(events(old)[name_of(BACKING)]) == (uid, 1, "CANCELLED")
    theirs = events(new)[name_of(BACKING)]
    assert told(theirs)[1:] == (0, "CONFIRMED")
    assert theirs.uid.value != uid


def test_a_new_address_tells_the_same_entries_on(site: Site) -> None:
    first = sent(site)
    before = told(events(first)[name_of(BACKING)])
    actions.revoke_link(site.project, site.who("contractor"), site.step(), ShareLink.objects.latest("pk").uid)
    assert read(first).status_code == 410
    assert told(events(sent(site))[name_of(BACKING)]) == before


def test_what_was_finished_long_ago_is_told_no_more(
    site: Site,
    clock: Callable[[datetime], None],
) -> None:
    site.back()
    token = sent(site)
    assert set(events(token)) == {name_of(BACKING)}
    clock(NOW + timedelta(days=200))
    link = ShareLink.objects.latest("pk")
    ShareLink.objects.filter(pk=link.pk).update(expires_at=NOW + timedelta(days=300))
    assert set(events(token)) == set()


def test_it_says_what_the_work_waits_for_and_who_owes_it_but_no_telephone(site: Site) -> None:
    token = sent(site, "other electrician")
    answer = read(token).content.replace(b"\r\n ", b"").decode()
    text = events(token)[name_of(BOARD)].description.value
    assert "Waits for:" in text
    assert "Copper Creek Framing" in text
    for company in site.cast.companies.values():
        assert company.phone not in answer


@pytest.mark.parametrize("token", ["nonsense", "expired", "revoked", "electrician"])
def test_a_token_that_opens_no_calendar_gets_nothing(site: Site, token: str) -> None:
    """Unknown, expired, taken back, or a link to pages: none of them reads dates."""
    answer = read(site.cast.tokens.get(token, token))
    assert answer.status_code == 404
    assert b"BEGIN" not in answer.content


def test_an_address_taken_back_or_expired_is_gone(
    site: Site,
    clock: Callable[[datetime], None],
) -> None:
    token = sent(site)
    link = ShareLink.objects.latest("pk")
    clock(link.expires_at)
    assert (read(token).status_code, b"expired" in read(token).content) == (410, True)
    clock(NOW)
    actions.revoke_link(site.project, site.who("contractor"), site.step(), link.uid)
    answer = read(token)
    assert (answer.status_code, b"taken back" in answer.content) == (410, True)


def test_the_address_of_a_calendar_lets_nobody_in(site: Site) -> None:
    client, address = Client(), reverse("link", args=[sent(site)])
    assert client.get(address).status_code == 404
    assert client.post(address).status_code == 404
    assert client.get(page(site, "my-tasks")).status_code == 404


def test_no_other_company_and_no_other_project_is_in_it(site: Site) -> None:
    gather("other.")
    assert set(events(sent(site, "electrician"))) == {name_of(ROUGH)}


def test_somebody_with_a_link_makes_a_calendar_that_ends_with_it(
    site: Site,
    by_link: Callable[[str], Client],
) -> None:
    client = by_link("framer")
    assert "In your calendar" in words(client.get(page(site, "my-tasks")))
    answer = client.post(page(site, "my-calendar"))
    token = re.search(r"/calendar/([\w-]+)\.ics", answer.content.decode()).group(1)  # type: ignore[union-attr]
    assert set(events(token)) == {name_of(BACKING)}
    own = ShareLink.objects.latest("pk")
    assert (own.through, own.expires_at) == (
        site.cast.links["framer"],
        site.cast.links["framer"].expires_at,
    )
    actions.revoke_link(site.project, site.who("coordinator"), site.step(), site.cast.links["framer"].uid)
    assert read(token).status_code == 410


def test_a_members_calendar_ends_when_they_leave(
    site: Site,
    browse: Callable[[str], Client],
) -> None:
    answer = browse("framer").post(page(site, "my-calendar"))
    token = re.search(r"/calendar/([\w-]+)\.ics", answer.content.decode()).group(1)  # type: ignore[union-attr]
    assert set(events(token)) == {name_of(BACKING)}
    actions.end_membership(
        site.project, site.who("coordinator"), site.step(), site.cast.memberships["framer"].uid
    )
    assert read(token).status_code == 410


@pytest.mark.parametrize(
    ("name", "status"),
    [("framer", 200), ("crew", 200), ("contractor", 404), ("owner", 404), ("left", 404), ("stranger", 404)],
)
def test_who_makes_a_calendar_of_their_own(
    site: Site,
    browse: Callable[[str], Client],
    name: str,
    status: int,
) -> None:
    assert browse(name).post(page(site, "my-calendar")).status_code == status


def booked(site: Site) -> Any:
    days = {"day": date(2026, 3, 20), "confirm_by": date(2026, 3, 17)}
    return book_visit(site.project, site.who("coordinator"), site.step(), key="rails", **days)


def made(client: Client, **asked: str) -> str:
    answer = client.post(reverse("calendars"), asked)
    return re.search(r"/calendar/([\w-]+)\.ics", answer.content.decode()).group(1)  # type: ignore[union-attr]


def test_the_coordinator_reads_visits_and_the_days_to_confirm_them(
    site: Site,
    browse: Callable[[str], Client],
) -> None:
    visit = booked(site)
    token = made(browse("coordinator"))
    found = {event.summary.value.partition(":")[0]: event for event in events(token).values()}
    assert {name: event.dtstart.value for name, event in found.items()} == {
        "Visit": date(2026, 3, 20),
        "Confirm or call off": date(2026, 3, 17),
    }
    before = {name: told(event) for name, event in found.items()}
    move_visit(
        site.project,
        site.who("coordinator"),
        site.step(),
        visit.uid,
        day=date(2026, 3, 27),
        confirm_by=date(2026, 3, 24),
    )
    moved = {event.summary.value.partition(":")[0]: told(event) for event in events(token).values()}
    assert moved == {name: (uid, 1, state) for name, (uid, _sequence, state) in before.items()}


def test_the_crew_reads_its_visits_among_its_work(site: Site) -> None:
    booked(site)
    names = [event.summary.value.partition(":")[0] for event in events(sent(site, "supplier")).values()]
    assert names.count("Visit") == 1
    assert "Confirm or call off" not in names


def test_one_company_over_all_sites_of_the_coordinator(
    site: Site,
    browse: Callable[[str], Client],
) -> None:
    """A second site of the same supplier, with the same framer; another supplier's stays out."""
    gather("other.")
    second = _second_site(site)
    token = made(browse("coordinator"), company=str(site.cast.companies["framer"].uid))
    answer = read(token).content.replace(b"\r\n ", b"").decode()
    found = vobject.readOne(answer).contents["vevent"]
    assert sorted(event.summary.value.rpartition("(")[2] for event in found) == ["Harrow Lane)", "Mill)"]
    assert second.place in {event.location.value for event in found}


def _second_site(site: Site) -> Any:
    cast = site.cast
    told = {"name": "Mill", "place": "1 Mill Road", "zone": "America/New_York"}
    project = actions.open_project(
        cast.supplier, cast.people["coordinator"], cast.companies["supplier"], at=site.step(), **told
    )
    keep, site.cast.project = site.cast.project, project
    company = cast.companies["framer"]
    actions.assign_company(project, site.who("coordinator"), site.step(), trade="framing", company=company)
    site.accept(JOB)
    site.cast.project = keep
    return project


def test_only_who_coordinates_reads_a_company_over_all_sites(
    site: Site,
    browse: Callable[[str], Client],
) -> None:
    company = str(site.cast.companies["framer"].uid)
    for name in ("contractor", "framer", "stranger"):
        assert browse(name).post(reverse("calendars"), {"company": company}).status_code == 404
        assert browse(name).post(reverse("calendars")).status_code == 404
        assert browse(name).get(reverse("calendars")).status_code == 200
    for wrong in (str(NOBODYS), "nonsense", str(gather("other.").companies["framer"].uid)):
        assert browse("coordinator").post(reverse("calendars"), {"company": wrong}).status_code == 404


def test_own_calendars_are_taken_back_by_their_owner_only(
    site: Site,
    browse: Callable[[str], Client],
) -> None:
    booked(site)
    token = made(browse("coordinator"))
    uid = ShareLink.objects.latest("pk").uid
    back = reverse("calendar-take-back", args=[uid])
    assert browse("contractor").post(back).status_code == 404
    assert read(token).status_code == 200
    assert browse("coordinator").post(back, follow=True).context["own"] == []
    assert read(token).status_code == 410


def test_a_feed_over_many_sites_costs_the_same_queries(
    site: Site,
    browse: Callable[[str], Client],
    django_assert_num_queries: Any,
) -> None:
    token = made(browse("coordinator"), company=str(site.cast.companies["framer"].uid))
    read(token)
    ShareLink.objects.update(holder="nobody")
    with django_assert_num_queries(FEED_QUERIES):
        tag = read(token).headers["ETag"]
    with django_assert_num_queries(UNCHANGED_QUERIES):
        assert read(token, if_none_match=tag).status_code == 304
    _second_site(site)
    read(token)
    with django_assert_num_queries(FEED_QUERIES):
        assert len(events(token)) >= 1


def test_the_page_of_links_sends_a_calendar_and_takes_it_back(
    site: Site,
    browse: Callable[[str], Client],
) -> None:
    client, company = browse("contractor"), site.cast.companies["framer"]
    told = {
        "purpose": "calendar",
        "company": str(company.uid),
        "holder": "Bo",
        "days": "30",
        "language": "en-us",
    }
    answer = client.post(page(site, "links"), told)
    token = re.search(r"/calendar/([\w-]+)\.ics", answer.content.decode()).group(1)  # type: ignore[union-attr]
    assert set(events(token)) == {name_of(BACKING)}
    assert "a company’s calendar feed, Copper Creek Framing" in words(answer)
    client.post(page(site, "link-revoke", ShareLink.objects.latest("pk").uid))
    assert read(token).status_code == 410
    nobody = client.post(page(site, "links"), {**told, "company": ""})
    assert nobody.status_code == 422
    assert "A link to a company's tasks or calendar needs the company." in words(nobody)
