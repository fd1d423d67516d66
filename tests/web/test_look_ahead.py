"""The next three weeks: whose work lies in them, what it waits for, on screen and on paper."""

import io
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from coordination.dates.looking_ahead import Window, ahead
from coordination.dates.queries import schedule_of
from coordination.projects.actions import set_task_dates
from coordination.web.views.handover import SANDBOX
from tests.gates.sites import BACKING, BOARD, ROUGH, SWEEP, Site
from tests.standing_cast import NOBODYS
from tests.web.worked_site import NOW, browse, by_link, page, site, words

__all__ = ["browse", "by_link", "site"]
TODAY = NOW.date()
QUERIES = 42


def lines(answer: Any) -> dict[str, list[str]]:
    """Names of tasks by trade."""
    return {trade.trade: [line.name for line in trade.lines] for trade in answer.context["trades"]}


def test_the_window_is_three_weeks_from_today() -> None:
    window = Window(date(2026, 3, 5))
    assert (len(window.days), window.days[0], window.days[-1], window.last) == (
        21,
        date(2026, 3, 5),
        date(2026, 3, 25),
        date(2026, 3, 25),
    )


def test_work_lies_in_it_by_its_days(site: Site) -> None:
    """Against a plain count: every unfinished task with a day of work in the window, and only those days."""
    dated = schedule_of(site.project, TODAY)
    keys = [key for key, dates in dated.tasks.items() if dates.early_last_day >= dates.early_start]
    found = {each.key: each for each in ahead(dated, keys, Window(TODAY))}
    for key in keys:
        dates = dated.tasks[key]
        worked = {
            day
            for day in Window(TODAY).days
            if dates.early_start <= day <= dates.early_last_day and day.weekday() < 5
        }
        assert (found[key].days if key in found else frozenset()) == worked


def test_what_begins_after_the_window_waits_for_its_week(site: Site) -> None:
    uid = site.task(SWEEP.key).uid
    by = site.who("contractor")
    for days, shown in ((20, True), (21, False)):
        first = TODAY + timedelta(days=days)
        set_task_dates(site.project, by, site.step(), uid, not_before=first)
        dated = schedule_of(site.project, TODAY)
        inside = dated.tasks[SWEEP.key].early_start <= Window(TODAY).last
        assert inside is shown
        assert bool(ahead(dated, [SWEEP.key], Window(TODAY))) is shown


def test_begun_work_says_since_when_and_finished_work_is_gone(
    site: Site, browse: Callable[[str], Client]
) -> None:
    site.start(BACKING.key, "framer")
    answer = browse("contractor").get(page(site, "look-ahead"))
    [line] = next(trade for trade in answer.context["trades"] if trade.trade == "framing").lines
    assert line.days.startswith("since Mon 2 Mar")
    assert line.state == "at work"
    site.shade = 9
    site.photo(f"{BACKING.key}#left", "framer")
    site.read(f"{BACKING.key}#spread", "framer", '30"')
    site.offer(BACKING.key, "framer")
    assert "framing" not in lines(browse("contractor").get(page(site, "look-ahead")))


def test_each_trade_says_what_it_waits_for_and_who_owes_it(
    site: Site, browse: Callable[[str], Client]
) -> None:
    answer = browse("contractor").get(page(site, "look-ahead"))
    assert set(lines(answer)) == {"framing", "electrical", "general contractor", "drywall", "lift"}
    [board] = next(trade for trade in answer.context["trades"] if trade.trade == "drywall").lines
    assert board.state == "held"
    assert next((wait.owner, wait.phone != "") for wait in board.waits) == ("Copper Creek Framing", True)
    [first, *_others] = board.waits
    assert first.sentence in words(answer)


def test_one_trade_alone(site: Site, browse: Callable[[str], Client]) -> None:
    answer = browse("contractor").get(page(site, "look-ahead") + "?trade=drywall")
    assert lines(answer) == {"drywall": [BOARD.text["en"]]}
    assert len(answer.context["all_trades"]) == 5
    assert lines(browse("contractor").get(page(site, "look-ahead") + "?trade=nothing")) == {}


@pytest.mark.parametrize("name", ["framer", "electrician"])
def test_a_company_sees_its_own_work_and_no_telephone(
    site: Site, by_link: Callable[[str], Client], name: str
) -> None:
    answer = by_link(name).get(page(site, "look-ahead"))
    own = {"framer": ("framing", BACKING), "electrician": ("electrical", ROUGH)}[name]
    assert lines(answer) == {own[0]: [own[1].text["en"]]}
    for company in site.cast.companies.values():
        assert company.phone not in answer.content.decode()
    assert "Put these days into your calendar" in words(answer)


@pytest.mark.parametrize(
    ("name", "status"),
    [
        ("coordinator", 200),
        ("contractor", 200),
        ("crew", 200),
        ("framer", 200),
        ("owner", 404),
        ("left", 404),
        ("stranger", 404),
    ],
)
def test_who_looks_ahead(site: Site, browse: Callable[[str], Client], name: str, status: int) -> None:
    client = browse(name)
    assert client.get(page(site, "look-ahead")).status_code == status
    assert client.get(reverse("look-ahead", args=[NOBODYS])).status_code == 404
    if status == 404:
        assert client.get(page(site, "look-ahead-pdf", "framing")).status_code == 404
        assert client.get(page(site, "look-ahead-all-pdf")).status_code == 404


def test_links_that_ended_open_nothing(site: Site, by_link: Callable[[str], Client]) -> None:
    for name in ("expired", "revoked", "inspector"):
        assert by_link(name).get(page(site, "look-ahead")).status_code == 404


def test_the_sheet_is_one_page_with_the_same_words(site: Site, browse: Callable[[str], Client]) -> None:
    answer = browse("contractor").get(page(site, "look-ahead-pdf", "drywall"))
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.headers["Content-Security-Policy"] == SANDBOX
    [sheet] = PdfReader(io.BytesIO(answer.content)).pages
    text = " ".join(sheet.extract_text().split())
    assert BOARD.text["en"] in text
    assert "Copper Creek Framing, 555-0142" in text
    assert "no permission to enter" in text
    assert ROUGH.text["en"] not in text


def test_a_company_gets_the_paper_of_its_own_trade_only(site: Site, by_link: Callable[[str], Client]) -> None:
    client = by_link("framer")
    assert client.get(page(site, "look-ahead-pdf", "electrical")).status_code == 404
    answer = client.get(page(site, "look-ahead-all-pdf"))
    [sheet] = PdfReader(io.BytesIO(answer.content)).pages
    assert "555-" not in sheet.extract_text()


def test_it_costs_the_same_however_much_there_is(
    site: Site, browse: Callable[[str], Client], django_assert_num_queries: Any
) -> None:
    client = browse("contractor")
    client.get(page(site, "look-ahead"))
    with django_assert_num_queries(QUERIES):
        client.get(page(site, "look-ahead"))
    with django_assert_num_queries(QUERIES):
        client.get(page(site, "look-ahead") + "?trade=drywall")
    site.back()
    with django_assert_num_queries(QUERIES):
        client.get(page(site, "look-ahead"))
