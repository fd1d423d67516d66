"""The contractor's own days: for a package, and from a table that is shown before it is stored."""

import csv
import io
import re
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from coordination.dates.done_by import package_days, set_package_day
from coordination.dates.done_by_file import COLUMNS
from coordination.dates.models import PackageDay
from coordination.dates.queries import schedule_of
from coordination.projects.actions import set_task_dates
from coordination.projects.models import Task
from coordination.record.models import Event
from tests.gates.sites import BACKING, BOARD, CLOSE, SWEEP, Site
from tests.standing_cast import NOBODYS
from tests.web.worked_site import NOW, browse, page, site, words

__all__ = ["browse", "site"]
TODAY = NOW.date()
PAGE_QUERIES = 12
PREVIEW_QUERIES = 14
SOON, FAR = TODAY + timedelta(days=1), TODAY + timedelta(days=60)


def sent(client: Client, site: Site, text: str | bytes, name: str = "days.csv") -> Any:
    content = text.encode() if isinstance(text, str) else text
    return client.post(page(site, "done-by"), {"file": SimpleUploadedFile(name, content)})


def hidden(answer: Any) -> dict[str, str]:
    """What the page of a file sends when it is confirmed."""
    found = re.findall(r'name="(content|name|shown)" value="([^"]*)"', answer.content.decode())
    return dict(found)


def confirmed(client: Client, site: Site, text: str) -> Any:
    return client.post(page(site, "done-by-confirm"), hidden(sent(client, site, text)), follow=True)


def package_of(site: Site, key: str = BACKING.key) -> str:
    return site.task(key).package


def days(site: Site) -> dict[str, tuple[date | None, date | None, int | None]]:
    rows = Task.objects.filter(project=site.project)
    return {row.key: (row.done_by, row.not_before, row.own_duration) for row in rows}


def events(site: Site) -> int:
    return Event.objects.filter(stream=site.project.stream).count()


def reasons(answer: Any) -> list[str]:
    assert answer.status_code == 422
    return list(answer.context["reasons"])


def test_the_table_has_every_package_task_and_gate_with_its_days(
    site: Site, browse: Callable[[str], Client]
) -> None:
    answer = browse("contractor").get(page(site, "done-by-table"))
    assert answer.headers["Content-Type"] == "text/csv; charset=utf-8"
    assert answer.content.startswith(b"\xef\xbb\xbf")
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"), newline="")))
    assert tuple(rows[0]) == COLUMNS
    tasks = Task.objects.filter(project=site.project)
    assert {row["key"] for row in rows if row["kind"] != "package"} == {task.key for task in tasks}
    dated = schedule_of(site.project, TODAY)
    [own] = [row for row in rows if row["key"] == BACKING.key]
    assert (own["kind"], own["company"]) == ("task", "Copper Creek Framing")
    assert own["first day"] == dated.tasks[BACKING.key].early_start.isoformat()


def test_the_table_sent_back_as_it_is_changes_nothing(site: Site, browse: Callable[[str], Client]) -> None:
    client = browse("contractor")
    table = client.get(page(site, "done-by-table")).content
    answer = sent(client, site, table)
    assert (answer.status_code, answer.context["changes"]) == (200, [])
    assert "there is nothing to set" in words(answer)


def test_what_a_file_would_change_is_shown_and_not_stored(
    site: Site, browse: Callable[[str], Client]
) -> None:
    before, told = days(site), events(site)
    text = f"key;not before;done by\n{BACKING.key};{FAR.isoformat()};\n{SWEEP.key};;{FAR:%d %b %Y}\n"
    answer = sent(browse("contractor"), site, text)
    lines = [(line.line, line.what, line.was, line.now != "") for line in answer.context["changes"]]
    assert lines == [(2, "not before", "", True), (3, "done by", "", True)]
    moved = {line.name: line.later for line in answer.context["effects"]}
    assert moved["handover"] is True
    assert (days(site), events(site)) == (before, told)


def test_it_is_stored_when_it_is_confirmed_with_one_event(
    site: Site, browse: Callable[[str], Client]
) -> None:
    client, told = browse("contractor"), events(site)
    text = (
        "kind,key,done by,not before,working days\n"
        f"package,{package_of(site)},2026-05-01,,\n"
        f"task,{SWEEP.key},2026-04-30,2026-04-02,2\n"
        f"gate,{CLOSE.key},2026-05-15,,\n"
    )
    answer = confirmed(client, site, text)
    assert "5 days were set" in words(answer)
    assert days(site)[SWEEP.key] == (date(2026, 4, 30), date(2026, 4, 2), 2)
    assert days(site)[CLOSE.key][0] == date(2026, 5, 15)
    assert package_days(site.project) == {package_of(site): date(2026, 5, 1)}
    assert events(site) == told + 1
    event = Event.objects.filter(stream=site.project.stream).latest("seq")
    assert (event.verb, event.subject) == ("dates taken from a file", "days.csv")
    record = words(client.get(page(site, "record")))
    assert "took days from the file “days.csv”" in record


def test_confirmed_twice_it_is_set_once(site: Site, browse: Callable[[str], Client]) -> None:
    client = browse("contractor")
    form = hidden(sent(client, site, f"key,done by\n{SWEEP.key},2026-04-30\n"))
    assert client.post(page(site, "done-by-confirm"), form).status_code == 302
    told = events(site)
    answer = client.post(page(site, "done-by-confirm"), form)
    assert "Somebody has set days since" in words(answer)
    assert (answer.status_code, events(site)) == (422, told)


def test_days_set_meanwhile_are_shown_before_anything_is_stored(
    site: Site, browse: Callable[[str], Client]
) -> None:
    client = browse("contractor")
    form = hidden(sent(client, site, f"key,done by\n{SWEEP.key},2026-04-30\n"))
    set_task_dates(
        site.project, site.who("coordinator"), site.step(), site.task(SWEEP.key).uid, done_by=date(2026, 4, 1)
    )
    answer = client.post(page(site, "done-by-confirm"), form)
    assert reasons(answer) == [
        "Somebody has set days since this was shown, so the file would do something else now. Look at it again."
    ]
    assert [(line.was, line.now) for line in answer.context["changes"]] == [
        ("Wed 1 Apr 2026", "Thu 30 Apr 2026")
    ]
    assert days(site)[SWEEP.key][0] == date(2026, 4, 1)


def test_one_wrong_line_and_nothing_of_the_file_is_taken(site: Site, browse: Callable[[str], Client]) -> None:
    site.back()
    before, client = days(site), browse("contractor")
    text = (
        "kind,key,done by,not before,working days\n"
        f"task,{SWEEP.key},2026-04-30,,\n"
        "task,swep@pit,2026-04-30,,\n"
        f"gate,{BOARD.key},,,\n"
        f"package,{package_of(site)},,2026-04-30,\n"
        f"gate,{CLOSE.key},,,3\n"
        f"task,{BACKING.key},2026-04-30,,\n"
        f"task,{BOARD.key[:-1]},3/4/2026,,\n"
    )
    answer = sent(client, site, text)
    package = package_of(site)
    assert reasons(answer) == [
        f"Line 3, column “key”: swep@pit is no package or task of this job; is it {SWEEP.key}?",
        f"Line 4, column “kind”: gate; but {BOARD.key} is a task. Write task, or another key.",
        f"Line 5, column “not before”: {package} is a package, which has a day in “done by” only; leave it empty.",
        f"Line 6, column “working days”: {CLOSE.key} is a gate, which takes no time; leave it empty.",
        (
            f"Line 7, column “done by”: {BACKING.key} is finished, its days are history; leave the cell as it was "
            "downloaded."
        ),
        (
            "Line 8, column “done by”: 3/4/2026 can be read as 2026-04-03 or as 2026-03-04; write the one you mean like "
            "that."
        ),
        f"Line 8, column “key”: {BOARD.key[:-1]} is no package or task of this job; is it {BOARD.key}?",
    ]
    assert days(site) == before


@pytest.mark.parametrize(
    ("cells", "told"),
    [
        (
            "1999-01-01,,",
            "column “done by”: 1999-01-01 is too far away; choose a day from 2000-01-01 to 2100-12-31.",
        ),
        (",,0", "column “working days”: a duration may be 1 to 400 working days."),
        (",,401", "column “working days”: a duration may be 1 to 400 working days."),
        (
            "2026-04-01,2026-04-02,",
            "column “done by”: done by 2026-04-01 cannot be before the first day it may begin, 2026-04-02.",
        ),
    ],
)
def test_what_a_task_cannot_have(site: Site, browse: Callable[[str], Client], cells: str, told: str) -> None:
    text = f"key,done by,not before,working days\n{SWEEP.key},{cells}\n"
    assert reasons(sent(browse("contractor"), site, text)) == [f"Line 2, {told}"]


def test_a_day_that_goes_before_one_that_stands_is_seen_too(
    site: Site, browse: Callable[[str], Client]
) -> None:
    uid = site.task(SWEEP.key).uid
    set_task_dates(site.project, site.who("contractor"), site.step(), uid, not_before=FAR)
    text = f"key,done by\n{SWEEP.key},{SOON.isoformat()}\n"
    [told] = reasons(sent(browse("contractor"), site, text))
    assert f"cannot be before the first day it may begin, {FAR.isoformat()}" in told


def test_without_a_file_it_says_so(site: Site, browse: Callable[[str], Client]) -> None:
    client = browse("contractor")
    assert reasons(client.post(page(site, "done-by"))) == ["Choose the file that was filled in."]
    for content in ("", "not base64!", "====="):
        told = {"content": content, "shown": "", "name": ""}
        assert client.post(page(site, "done-by-confirm"), told).status_code == 422


def test_a_package_wanted_too_soon_says_how_far_behind_and_which_day_causes_it(
    site: Site, browse: Callable[[str], Client]
) -> None:
    """Done-by days move no date; they take float away, and every page names the day that does."""
    before = schedule_of(site.project, TODAY)
    client, package = browse("contractor"), package_of(site, BOARD.key)
    address, day = page(site, "package-done-by", package), {"done_by": SOON.isoformat()}
    shown = client.post(address, day)
    assert f"{BOARD.text['en']}” ends on " in words(shown)
    assert "Nothing has been saved yet." in words(shown)
    assert package_days(site.project) == {}
    answer = client.post(address, {**day, "confirmed": "yes"}, follow=True)
    assert answer.status_code == 200
    after = schedule_of(site.project, TODAY)
    assert {key: each.early_start for key, each in after.tasks.items()} == {
        key: each.early_start for key, each in before.tasks.items()
    }
    late = after.tasks[BOARD.key]
    assert late.total_float is not None
    assert late.total_float < 0
    assert f"{-late.total_float} working days behind: it is to be done by Fri 6 Mar 2026" in words(answer)
    told = client.get(page(site, "done-by")).context["late"]
    assert [line for line in told if line.startswith(f"“{BOARD.text['en']}” ends on ")] != []
    assert all(line.endswith("; it is to be done by Fri 6 Mar 2026") for line in told)


def test_a_task_goes_by_its_own_day_before_that_of_its_package(site: Site) -> None:
    by, at, uid = site.who("contractor"), site.step(), site.task(BACKING.key).uid
    set_package_day(site.project, by, at, package_of(site), SOON)
    set_task_dates(site.project, by, site.step(), uid, done_by=FAR)
    network = schedule_of(site.project, TODAY).schedule.network
    assert network.tasks[network.position[BACKING.key]].due == FAR
    assert network.tasks[network.position[SWEEP.key]].due == (
        SOON if package_of(site, SWEEP.key) == package_of(site) else None
    )


def test_a_packages_day_is_taken_back_and_doing_it_twice_is_harmless(
    site: Site, browse: Callable[[str], Client]
) -> None:
    client, address = browse("contractor"), page(site, "package-done-by", package_of(site))
    for day, expected in (("2026-05-01", 1), ("2026-05-01", 1), ("", 2), ("", 2)):
        client.post(address, {"done_by": day, "confirmed": "yes"})
        assert Event.objects.filter(stream=site.project.stream, verb="package day set").count() == expected
    assert package_days(site.project) == {}
    assert PackageDay.objects.count() == 1
    for wrong in ("nonsense", "1999-01-01"):
        assert client.post(address, {"done_by": wrong}).status_code == 422
    for sent in ({"done_by": ""}, {"done_by": "", "confirmed": "yes"}):
        assert client.post(page(site, "package-done-by", "nothing"), sent).status_code == 404


@pytest.mark.parametrize(
    ("name", "reads", "writes"),
    [
        ("coordinator", 200, 422),
        ("contractor", 200, 422),
        ("crew", 200, 404),
        ("framer", 404, 404),
        ("owner", 404, 404),
        ("left", 404, 404),
        ("stranger", 404, 404),
    ],
)
def test_who_may_read_and_set(
    site: Site, browse: Callable[[str], Client], name: str, reads: int, writes: int
) -> None:
    client = browse(name)
    assert client.get(page(site, "done-by")).status_code == reads
    assert client.get(page(site, "done-by-table")).status_code == reads
    assert client.post(page(site, "done-by")).status_code == writes
    assert client.post(page(site, "done-by-confirm")).status_code == writes
    day = {"done_by": "nonsense"}
    assert client.post(page(site, "package-done-by", package_of(site)), day).status_code == writes
    assert client.get(reverse("done-by", args=[NOBODYS])).status_code == 404


def test_the_pages_cost_the_same_with_many_days(
    site: Site, browse: Callable[[str], Client], django_assert_num_queries: Any
) -> None:
    client = browse("contractor")
    client.get(page(site, "done-by"))
    with django_assert_num_queries(PAGE_QUERIES):
        client.get(page(site, "done-by"))
    text = f"key,done by\n{SWEEP.key},2026-04-30\n"
    with django_assert_num_queries(PREVIEW_QUERIES):
        sent(client, site, text)
    more = text + f"{BACKING.key},2026-04-30\n{package_of(site)},2026-04-30\n"
    with django_assert_num_queries(PREVIEW_QUERIES):
        sent(client, site, more)
