"""Packages at the screens: what they say, who holds them up, and the days that people set."""

import uuid
from datetime import date
from typing import Any

import pytest
from django.urls import reverse

from coordination.projects.models import Task
from coordination.record.models import Event
from tests.gates.sites import BACKING, BOARD, SWEEP, Site, build

QUERIES = 37


def page(site: Site, **query: str) -> str:
    return reverse("packages", args=[site.project.uid], query=query)


def days(site: Site, key: str = BACKING.key) -> str:
    return reverse("task-dates", args=[site.project.uid, site.task(key).uid])


def test_a_package_says_its_states_and_who_holds_it_up(site: Site, seen_by: Any) -> None:
    site.start(BACKING.key, "framer")
    lines = seen_by("contractor").get(page(site)).context["packages"]
    assert [line.tasks for line in lines] == [()] * len(lines)
    [line] = [line for line in lines if "at work" in line.counts]
    assert line.state == "at work"
    assert [bool(item.sentence and item.owner) for item in line.holding] == [True]


def test_only_the_package_that_is_asked_for_opens(site: Site, seen_by: Any) -> None:
    opened = site.task(BACKING.key).package
    lines = seen_by("contractor").get(page(site, package=opened)).context["packages"]
    assert [line.key for line in lines if line.tasks] == [opened]
    [backing] = [task for line in lines for task in line.tasks if task.name == "backing"]
    assert (backing.state, backing.owner, backing.phone, backing.place) == (
        "ready",
        "Copper Creek Framing",
        "555-0142",
        "Rail wall",
    )


@pytest.mark.parametrize("name", ["coordinator", "contractor"])
def test_days_are_set_once_and_taken_back(site: Site, seen_by: Any, name: str) -> None:
    client, before = seen_by(name), Event.objects.count()
    sent = {"done_by": "2026-04-10", "not_before": "2026-04-01", "own_duration": "5", "confirmed": "yes"}
    assert [client.post(days(site), sent).status_code for _ in range(2)] == [302, 302]
    task = site.task(BACKING.key)
    assert (task.done_by, task.not_before, task.own_duration) == (date(2026, 4, 10), date(2026, 4, 1), 5)
    assert Event.objects.count() == before + 1
    client.post(days(site), {"done_by": "", "confirmed": "yes"})
    task = site.task(BACKING.key)
    assert (task.done_by, task.not_before, task.own_duration) == (None, None, None)


def test_days_are_shown_with_what_they_do_before_they_are_set(site: Site, seen_by: Any) -> None:
    client, before = seen_by("contractor"), Event.objects.count()
    answer = client.post(days(site), {"own_duration": "30"})
    assert (answer.status_code, Event.objects.count()) == (200, before)
    assert site.task(BACKING.key).own_duration is None
    assert answer.context["told"] == ["backing: working days it takes: 3 → 30"]
    assert {line.name: line.later for line in answer.context["moves"]}["handover"] is True
    assert ("own_duration", "30") in answer.context["sent"]
    assert client.post(days(site), dict(answer.context["sent"]) | {"confirmed": "yes"}).status_code == 302
    assert site.task(BACKING.key).own_duration == 30


def test_days_that_are_as_they_were_need_no_second_look(site: Site, seen_by: Any) -> None:
    before = Event.objects.count()
    assert seen_by("contractor").post(days(site), {"done_by": ""}).status_code == 302
    assert Event.objects.count() == before


def test_work_that_ends_too_late_is_said(site: Site, seen_by: Any) -> None:
    client, package = seen_by("contractor"), site.task(BACKING.key).package
    client.post(days(site), {"done_by": "2026-03-05", "own_duration": "30", "confirmed": "yes"})
    [line] = [line for line in client.get(page(site, package=package)).context["packages"] if line.open]
    assert (line.late, [task.late for task in line.tasks if task.name == "backing"]) == (1, [True])


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"done_by": "soon"}, "Enter a valid date."),
        ({"own_duration": "0"}, "greater than or equal to 1"),
        ({"own_duration": "999"}, "less than or equal to 400"),
        ({"done_by": "2026-04-01", "not_before": "2026-04-10"}, "Done by 2026-04-01 cannot be before"),
        ({"done_by": "1999-04-01"}, "is too far away"),
    ],
)
def test_days_that_cannot_be_are_said_at_the_task(
    site: Site, seen_by: Any, sent: dict[str, str], said: str
) -> None:
    before = Event.objects.count()
    answer = seen_by("contractor").post(days(site), sent)
    assert (answer.status_code, Event.objects.count()) == (422, before)
    text = answer.content.decode()
    assert said in text
    assert [f'value="{typed}"' in text for typed in sent.values()] == [True] * len(sent)


def test_finished_work_keeps_its_days(site: Site, seen_by: Any) -> None:
    site.start(SWEEP.key, "contractor")
    site.offer(SWEEP.key, "contractor")
    answer = seen_by("contractor").post(days(site, SWEEP.key), {"done_by": "2026-04-10"})
    assert answer.status_code == 422
    assert "This work is finished; its days are history." in answer.content.decode()


def test_a_task_that_is_none_or_another_projects_is_not_there(site: Site, seen_by: Any) -> None:
    far, client = build("far."), seen_by("contractor")
    for task in (uuid.uuid4(), far.task(BACKING.key).uid):
        address = reverse("task-dates", args=[site.project.uid, task])
        assert client.post(address, {"done_by": "2026-04-10"}).status_code == 404
    assert client.post(days(far), {"done_by": "2026-04-10"}).status_code == 404
    assert Task.objects.filter(done_by__isnull=False).count() == 0
    assert client.get(days(site)).status_code == 405


def test_the_lift_crew_reads_only(site: Site, seen_by: Any) -> None:
    client = seen_by("crew")
    text = client.get(page(site, package=site.task(BOARD.key).package)).content.decode()
    assert ("Set the days" in text, client.post(days(site), {}).status_code) == (False, 404)


@pytest.mark.parametrize("name", ["framer", "left", "owner", "stranger"])
def test_for_everybody_else_the_page_is_not_there(site: Site, seen_by: Any, name: str) -> None:
    client = seen_by(name)
    assert [client.get(page(site)).status_code, client.post(days(site), {}).status_code] == [404, 404]


def test_it_costs_the_same_open_or_shut_begun_or_done(
    site: Site, seen_by: Any, django_assert_num_queries: Any
) -> None:
    client = seen_by("contractor")
    client.get(page(site))
    with django_assert_num_queries(QUERIES):
        client.get(page(site))
    site.back()
    client.get(page(site))
    opened = page(site, package=site.task(BACKING.key).package)
    with django_assert_num_queries(QUERIES):
        client.get(opened)
