"""Progress at the screens: work begun before its turn, days still to do, why a date is what it is."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from coordination.dates.models import OrderOfWork
from coordination.dates.queries import schedule_of
from coordination.projects.actions import set_task_dates
from coordination.projects.models import Task
from coordination.record.models import Event
from tests.gates.sites import BACKING, RAILS, Site
from tests.web.worked_site import NOW, browse, by_link, page, site, words

__all__ = ["browse", "by_link", "site"]
TODAY = NOW.date()


def begun_before_its_turn(site: Site) -> None:
    """The rails begin although the backing, which they wait for, is only begun."""
    site.start(BACKING.key, "framer")
    Task.objects.filter(project=site.project, key=RAILS.key).update(begun_on=site.at.date())
    set_task_dates(
        site.project, site.who("contractor"), site.step(), site.task(BACKING.key).uid, own_duration=12
    )


def ends(site: Site) -> Any:
    return schedule_of(site.project, TODAY).tasks[RAILS.key].early_last_day


def test_the_planned_order_is_kept_until_somebody_says_otherwise(
    site: Site, browse: Callable[[str], Client]
) -> None:
    begun_before_its_turn(site)
    kept, client = ends(site), browse("contractor")
    told = words(client.get(page(site, "dates")))
    assert f"“{RAILS.text['en']}” has begun; by the plan it comes after “{BACKING.text['en']}”" in told
    assert "The planned order is kept" in told
    answer = client.post(page(site, "order-of-work"), {"order": "override"}, follow=True)
    assert "Begun work goes on" in words(answer)
    assert ends(site) < kept
    assert "said what becomes of work begun before its turn: begun work goes on" in words(
        client.get(page(site, "record"))
    )
    client.post(page(site, "order-of-work"), {"order": "retained"})
    assert ends(site) == kept


def test_said_twice_it_is_one_decision(site: Site, browse: Callable[[str], Client]) -> None:
    client = browse("coordinator")
    for _turn in range(2):
        client.post(page(site, "order-of-work"), {"order": "override"})
    assert Event.objects.filter(verb="order of work set").count() == OrderOfWork.objects.count() == 1
    assert client.post(page(site, "order-of-work"), {"order": "any"}).status_code == 422


@pytest.mark.parametrize(
    ("name", "status"),
    [
        ("coordinator", 302),
        ("contractor", 302),
        ("crew", 404),
        ("framer", 404),
        ("left", 404),
        ("stranger", 404),
    ],
)
def test_who_says_it(site: Site, browse: Callable[[str], Client], name: str, status: int) -> None:
    assert browse(name).post(page(site, "order-of-work"), {"order": "override"}).status_code == status


def test_days_still_to_do_run_down_by_themselves(
    site: Site, browse: Callable[[str], Client], monkeypatch: pytest.MonkeyPatch
) -> None:
    site.start(BACKING.key, "framer")
    task, client = site.task(BACKING.key), browse("contractor")
    address = page(site, "task-dates", task.uid)
    answer = client.post(address, {"remaining": "6", "done_by": "", "confirmed": "yes"})
    assert answer.status_code == 302
    dated = schedule_of(site.project, TODAY)
    last, calendar = dated.tasks[BACKING.key].early_last_day, dated.schedule.network.calendars["site"]
    assert calendar.count(TODAY, last + timedelta(days=1)) == 6
    later = calendar.add(TODAY, 2)
    assert schedule_of(site.project, later).tasks[BACKING.key].early_last_day == last
    told = client.get(page(site, "packages") + f"?package={task.package}").content.decode()
    assert 'name="remaining" value="6"' in told
    assert client.post(address, {"remaining": "0"}).status_code == 422


def test_a_form_that_is_sent_back_as_it_is_changes_nothing(
    site: Site, browse: Callable[[str], Client]
) -> None:
    site.start(BACKING.key, "framer")
    task, told = site.task(BACKING.key), Event.objects.count()
    dates = schedule_of(site.project, TODAY).tasks[BACKING.key]
    calendar = schedule_of(site.project, TODAY).schedule.network.calendars["site"]
    still = calendar.count(TODAY, dates.early_last_day + timedelta(days=1))
    browse("contractor").post(
        page(site, "task-dates", task.uid), {"remaining": str(still), "confirmed": "yes"}
    )
    assert (Event.objects.count(), site.task(BACKING.key).own_duration) == (told, None)


def test_a_task_says_why_its_days_are_what_they_are(
    site: Site, browse: Callable[[str], Client], by_link: Callable[[str], Client]
) -> None:
    rails = site.task(RAILS.key)
    told = words(browse("contractor").get(page(site, "task", rails.uid)))
    assert f"Why these days: after “{BACKING.text['en']}”." in told
    backing = site.task(BACKING.key)
    assert "Why these days: " in words(by_link("framer").get(page(site, "my-task", backing.uid)))
    set_task_dates(site.project, site.who("contractor"), site.step(), rails.uid, done_by=TODAY)
    late = schedule_of(site.project, TODAY).tasks[BACKING.key].total_float
    assert late is not None
    assert late < 0
    told = words(browse("contractor").get(page(site, "task", backing.uid)))
    days = "1 working day" if late == -1 else f"{-late} working days"
    assert f"{days} behind: “{RAILS.text['en']}” is to be done by Thu 5 Mar 2026" in told
