"""What if, at the screens: the effect first, nothing stored until it is confirmed."""

import uuid
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from coordination.access.queries import assignments
from coordination.dates.models import OwnLink
from coordination.projects.models import FactEntry
from coordination.record.models import Event
from tests.gates.sites import BACKING, BOARD, ROUGH, Site, build
from tests.standing_cast import LATER

QUERIES = 8


def page(site: Site, name: str = "what-if") -> str:
    return reverse(name, args=[site.project.uid])


def slip(site: Site, **altered: str) -> dict[str, str]:
    return {"doing": "slip", "task": str(site.task(BACKING.key).uid), "later": "4", **altered}


def link(site: Site, **altered: str) -> dict[str, str]:
    before, after = (str(site.task(key).uid) for key in (ROUGH.key, BOARD.key))
    told = {"doing": "link", "before": before, "after": after, "kind": "FS", "lag": "9", "unit": "working"}
    return {**told, **altered}


def twice(client: Client, address: str, sent: dict[str, str]) -> tuple[Any, Any]:
    """What the first press shows, and what pressing its button answers."""
    shown = client.post(address, sent)
    again = dict(shown.context["sent"]) | {"confirmed": "yes"}
    return shown, client.post(shown.context["address"], again)


@pytest.mark.parametrize("name", ["coordinator", "contractor"])
def test_work_that_slips_shows_its_effect_and_is_stored_on_confirming(
    site: Site, seen_by: Any, name: str
) -> None:
    client, before = seen_by(name), Event.objects.count()
    shown = client.post(page(site), slip(site))
    assert (shown.status_code, Event.objects.count()) == (200, before)
    assert shown.context["told"] == ["backing: not before: none → Tue 10 Mar 2026"]
    assert shown.context["summary"] == "1 gate and 1 visit move, the furthest 4 working days later."
    assert {line.name: line.move for line in shown.context["moves"]} == {
        "close-in": "the same day",
        "handover": "4 working days later",
        "Visit: Rails, jack and doors": "4 working days later",
        "Last day of work": "4 working days later",
    }
    text = shown.content.decode()
    assert "Nothing has been saved yet." in text
    assert 'name="confirmed" value="yes"' in text
    _shown, done = twice(client, page(site), slip(site))
    assert (done.status_code, Event.objects.count()) == (302, before + 1)
    assert site.task(BACKING.key).not_before == date(2026, 3, 10)


def test_work_under_way_takes_longer(site: Site, seen_by: Any) -> None:
    site.start(BACKING.key, "framer")
    _shown, done = twice(seen_by("contractor"), page(site), slip(site))
    assert (done.status_code, site.task(BACKING.key).own_duration) == (302, BACKING.duration.likely + 4)


def test_a_link_is_seen_first_then_stands_then_is_taken_back(site: Site, seen_by: Any) -> None:
    client, before = seen_by("contractor"), Event.objects.count()
    shown, done = twice(client, page(site), link(site))
    assert shown.context["told"] == ["“board” starts when “rough” is finished, 9 working days after it"]
    assert (done.status_code, Event.objects.count()) == (302, before + 1)
    assert client.post(page(site), {**link(site), "confirmed": "yes"}).status_code == 302
    standing = OwnLink.objects.get()
    [line] = client.get(page(site)).context["links"]
    assert (line.uid, line.counts, Event.objects.count()) == (standing.uid, True, before + 1)
    taken = {"doing": "unlink", "link": str(standing.uid)}
    shown, done = twice(client, page(site), taken)
    assert shown.context["told"][0].startswith("Taken back: “board” starts when")
    assert (done.status_code, client.post(page(site), taken).status_code) == (302, 302)
    assert (client.get(page(site)).context["links"], Event.objects.count()) == ([], before + 2)


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"doing": "slip", "task": "", "later": "4"}, "This field is required."),
        ({"doing": "slip", "task": str(uuid.uuid4()), "later": "4"}, "Select a valid choice."),
        ({"doing": "slip", "later": "0"}, "greater than or equal to 1"),
        ({"doing": "link", "lag": "x"}, "Enter a whole number."),
        ({"doing": "link", "kind": "XX"}, "Select a valid choice."),
    ],
)
def test_what_cannot_be_supposed_is_said_at_its_field(
    site: Site, seen_by: Any, sent: dict[str, str], said: str
) -> None:
    full = slip(site) if sent["doing"] == "slip" else link(site)
    answer = seen_by("contractor").post(page(site), {**full, **sent})
    assert answer.status_code == 422
    assert said in answer.content.decode()


def test_a_ring_is_refused_before_anything_is_shown(site: Site, seen_by: Any) -> None:
    turned = {"before": str(site.task(BOARD.key).uid), "after": str(site.task(BACKING.key).uid)}
    answer = seen_by("contractor").post(page(site), link(site, **turned))
    assert (answer.status_code, OwnLink.objects.count()) == (422, 0)
    assert "This would close a ring" in answer.content.decode()


@pytest.mark.parametrize("name", ["crew", "framer", "left", "owner", "stranger"])
def test_for_others_it_is_not_there(site: Site, seen_by: Any, name: str) -> None:
    client = seen_by(name)
    sent = slip(site) | {"confirmed": "yes"}
    assert [client.get(page(site)).status_code, client.post(page(site), sent).status_code] == [404, 404]


def test_links_of_others_and_doings_that_are_none_are_not_there(site: Site, seen_by: Any) -> None:
    far = build("far.")
    client = Client()
    client.force_login(far.cast.people["contractor"])
    twice(client, page(far), link(far))
    foreign = str(OwnLink.objects.get().uid)
    for sent in (
        {"doing": "unlink", "link": foreign, "confirmed": "yes"},
        {"doing": "unlink", "link": "x"},
        {"doing": "dance"},
    ):
        assert seen_by("contractor").post(page(site), sent).status_code == 404
    assert OwnLink.objects.get().ended_at is None


def test_another_company_is_seen_first_with_the_day_it_can_come(site: Site, seen_by: Any) -> None:
    client, before = seen_by("contractor"), Event.objects.count()
    company = str(site.cast.companies["electrician"].uid)
    sent = {"doing": "assign", "trade": "framing", "company": company, "from_day": "2026-03-23"}
    shown, done = twice(client, page(site, "companies"), sent)
    assert shown.context["told"][0].endswith("Copper Creek Framing → Juniper Electric")
    assert shown.context["told"][1] == "1 task that has not begun: not before Mon 23 Mar 2026"
    assert {line.name: line.later for line in shown.context["moves"]}["handover"]
    assert done.status_code == 302
    assert (Event.objects.count(), assignments(site.project)["framing"].name) == (
        before + 2,
        "Juniper Electric",
    )
    assert site.task(BACKING.key).not_before == date(2026, 3, 23)


def test_a_company_alone_moves_nothing_and_the_page_says_so(site: Site, seen_by: Any) -> None:
    company = str(site.cast.companies["electrician"].uid)
    sent = {"doing": "assign", "trade": "framing", "company": company}
    shown = seen_by("contractor").post(page(site, "companies"), sent)
    assert (shown.status_code, shown.context["summary"]) == (200, "No gate and no visit moves.")
    assert "A company alone moves no date." in shown.content.decode()
    assert assignments(site.project)["framing"].name == "Copper Creek Framing"


def test_facts_of_the_calendar_are_seen_first(site: Site, seen_by: Any) -> None:
    client, before = seen_by("coordinator"), FactEntry.objects.count()
    sent = {"calendar.start:state": "known", "calendar.start": "2026-03-30", "seen": "999"}
    shown, done = twice(client, page(site, "facts"), sent)
    assert shown.context["told"] == ["First day of the job: unknown → Mon 30 Mar 2026"]
    assert all(line.later for line in shown.context["moves"])
    assert done.status_code == 302
    assert FactEntry.objects.count() == before + 1


def test_it_costs_the_same_however_much_is_linked(
    site: Site, seen_by: Any, django_assert_num_queries: Any
) -> None:
    client = seen_by("contractor")
    twice(client, page(site), link(site))
    for turn in range(2):
        with django_assert_num_queries(QUERIES):
            client.get(page(site))
        if not turn:
            sent = link(site, before=str(site.task(BACKING.key).uid), after=str(site.task(ROUGH.key).uid))
            twice(client, page(site), sent)
    assert LATER.date() == date(2026, 3, 4)
