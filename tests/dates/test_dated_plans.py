"""From rows to dates: what is done, what people wish, what is covered, and when an answer is needed."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest

from coordination.dates import dating
from coordination.dates.dating import dated_plans
from coordination.dates.networks import network_of, rows_of
from coordination.dates.queries import needed_by, portfolio, schedule_of
from coordination.projects.actions import FactInput, enter_facts, set_calendar, set_task_dates
from coordination.projects.models import Task
from coordination.scheduling import network as scheduling
from coordination.siteprep.plan import Link
from tests.projects.conftest import accept, lay
from tests.projects.small_plans import (
    BACKING,
    BOARD,
    CLOSE,
    FIRST,
    POUR,
    photo,
    question,
    task,
    with_task,
    without_task,
)
from tests.standing_cast import AT, gather

MONDAY = date(2027, 2, 1)


def enter(cast, **facts):
    """State facts of the calendar; the plan stays as it is."""
    told = {key.replace("__", "."): FactInput(typed=typed) for key, typed in facts.items()}
    enter_facts(cast.project, cast.visitor("coordinator"), AT, told)


def row(key):
    return Task.objects.get(key=key)


def days(dated):
    """First and last day of each task as month/day."""
    return {
        key: (f"{dates.early_start:%m/%d}", f"{dates.early_last_day:%m/%d}")
        for key, dates in dated.tasks.items()
    }


def test_rows_become_the_network(cast, stands):
    reviewed = replace(BACKING, requirements=(photo(BACKING.key, answer_hours=4),))
    stands(with_task(FIRST, reviewed))
    enter(cast, calendar__start="2027-02-01")
    contractor = cast.visitor("contractor")
    set_task_dates(cast.project, contractor, AT, row(BOARD.key).uid, own_duration=6, done_by=date(2027, 3, 1))
    Task.objects.filter(key=POUR.key).update(begun_on=MONDAY, finished_on=date(2027, 2, 2), remaining=1)
    Task.objects.filter(key=BACKING.key).update(begun_on=date(2027, 2, 3), remaining=2)
    network = network_of(rows_of([cast.project])[cast.project.pk], date(2027, 2, 4))
    assert network.tasks == (
        scheduling.Task(POUR.key, 2, "site", started=MONDAY, finished=date(2027, 2, 2)),
        scheduling.Task(BACKING.key, 3, "site", started=date(2027, 2, 3), remaining=2),
        scheduling.Task(CLOSE.key, 0, "site", milestone=True),
        scheduling.Task(BOARD.key, 6, "site", due=date(2027, 3, 1)),
    )
    assert network.links == (
        scheduling.Link(POUR.key, BACKING.key),
        scheduling.Link(BACKING.key, BOARD.key, "FS", 1),
        scheduling.Link(CLOSE.key, BOARD.key),
    )
    assert (network.start, network.data_date, set(network.calendars)) == (MONDAY, date(2027, 2, 4), {"site"})


@pytest.mark.parametrize(("hours", "lag"), [(0, 0), (1, 1), (4, 1), (8, 1), (9, 2)])
def test_covering_waits_for_the_reviewers_time_and_only_where_there_is_a_reviewer(cast, stands, hours, lag):
    for accepts, expected in (("coordinator", lag), (None, 0)):
        shown = photo(BACKING.key, answer_hours=hours, accepts=accepts)
        stands(with_task(FIRST, replace(BACKING, requirements=(shown, photo(BACKING.key, "other")))))
        network = network_of(rows_of([cast.project])[cast.project.pk], MONDAY)
        assert [link.lag for link in network.links if link.before == BACKING.key] == [expected]


def test_the_dates_of_a_small_job_by_hand(cast, stands):
    """Pour Mon-Tue, backing Wed-Fri, board from Monday for four days, the gate from the first morning."""
    stands(FIRST)
    enter(cast, calendar__start="2027-02-01")
    dated = schedule_of(cast.project, date(2027, 1, 20))
    assert days(dated) == {
        "pour@pit": ("02/01", "02/02"),
        "backing@rail-wall": ("02/03", "02/05"),
        "close-in@site": ("02/01", "02/01"),
        "board@rail-wall": ("02/08", "02/11"),
    }
    assert (dated.end, dated.start, dated.start_is_assumed) == (date(2027, 2, 11), MONDAY, False)
    assert dated.critical_chain == (POUR.key, BACKING.key, BOARD.key)
    assert dated.gates == {"close-in": MONDAY}


def test_a_gate_comes_when_what_it_waits_for_is_done(cast, stands):
    stands(replace(FIRST, links=(*FIRST.links, Link(BACKING.key, CLOSE.key))))
    enter(cast, calendar__start="2027-02-01")
    assert schedule_of(cast.project, MONDAY).gates == {"close-in": date(2027, 2, 5)}
    Task.objects.filter(key=CLOSE.key).update(begun_on=date(2027, 2, 9), finished_on=date(2027, 2, 9))
    assert schedule_of(cast.project, date(2027, 2, 10)).gates == {"close-in": date(2027, 2, 9)}


def test_without_a_first_day_the_job_begins_today_and_says_so(cast, stands):
    stands(FIRST)
    dated = schedule_of(cast.project, date(2027, 2, 6))
    assert (dated.start_is_assumed, days(dated)["pour@pit"]) == (True, ("02/08", "02/09"))


def test_a_project_without_a_plan_has_no_dates(cast):
    dated = schedule_of(cast.project, MONDAY)
    assert (dict(dated.tasks), dated.end, dated.gates, needed_by(cast.project, MONDAY)) == ({}, None, {}, {})


def test_work_that_was_not_begun_moves_on_with_today(cast, stands):
    stands(FIRST)
    enter(cast, calendar__start="2027-02-01")
    assert days(schedule_of(cast.project, date(2027, 2, 10)))["pour@pit"] == ("02/10", "02/11")


def test_working_days_and_holidays_come_from_the_facts_and_exceptions_from_people(cast, stands):
    """Presidents' Day 2027 is Monday 15 February (third Monday of the month)."""
    stands(replace(FIRST, tasks=(task(POUR.key, likely=7),), links=(), gates=()))
    enter(cast, calendar__start="2027-02-11", calendar__holidays="US-VT")
    seen = {"holidays": days(schedule_of(cast.project, MONDAY))}
    enter(cast, calendar__working_days="mon, tue, wed, thu, fri, sat")
    seen["saturdays"] = days(schedule_of(cast.project, MONDAY))
    contractor = cast.visitor("contractor")
    set_calendar(
        cast.project, contractor, AT, "site", closed=[date(2027, 2, 16)], opened=[date(2027, 2, 14), date(2027, 2, 15)]
    )  # fmt: skip
    seen["exceptions"] = days(schedule_of(cast.project, MONDAY))
    set_calendar(cast.project, contractor, AT, "site", weekdays=[0])
    seen["mondays"] = days(schedule_of(cast.project, MONDAY))
    assert {name: found["pour@pit"] for name, found in seen.items()} == {
        "holidays": ("02/11", "02/22"),
        "saturdays": ("02/11", "02/19"),
        "exceptions": ("02/11", "02/18"),
        "mondays": ("02/22", "04/05"),
    }


def test_another_trades_calendar_keeps_its_own_weekdays_and_the_same_holidays(cast, stands):
    office = task(POUR.key, likely=2, calendar="authority")
    stands(replace(FIRST, tasks=(office,), links=(), gates=()))
    enter(
        cast, calendar__start="2027-02-12", calendar__holidays="US-VT", calendar__working_days="fri, sat, sun, mon"
    )  # fmt: skip
    assert days(schedule_of(cast.project, MONDAY)) == {"pour@pit": ("02/12", "02/16")}


def test_work_of_many_years_stays_within_the_calendars(cast, stands):
    long = tuple(task(f"part-{n}@pit", likely=400) for n in range(12))
    links = tuple(Link(a.key, b.key) for a, b in pairwise(long))
    stands(replace(FIRST, tasks=long, links=links, gates=()))
    enter(cast, calendar__start="2027-02-01", calendar__working_days="mon")
    assert schedule_of(cast.project, MONDAY).end == MONDAY + timedelta(weeks=12 * 400 - 1)


def test_a_question_is_needed_on_the_working_day_before_the_first_task_that_waits_for_it(cast, stands):
    asked = (
        question("pit.sump", BOARD.key, BACKING.key),
        question("pit.depth"),
        question("pit.ground", POUR.key),
    )
    stands(replace(FIRST, questions=asked))
    enter(cast, calendar__start="2027-02-01")
    seen = {}
    for today in (date(2027, 1, 20), date(2027, 2, 3)):
        seen[today] = needed_by(cast.project, today)
    Task.objects.filter(key=POUR.key).update(begun_on=MONDAY, finished_on=date(2027, 2, 2))
    seen["poured"] = needed_by(cast.project, date(2027, 2, 3))
    assert seen == {
        date(2027, 1, 20): {
            "pit.sump": date(2027, 2, 2),
            "pit.depth": date(2027, 1, 29),
            "pit.ground": date(2027, 1, 29),
        },
        date(2027, 2, 3): {
            "pit.sump": date(2027, 2, 4),
            "pit.depth": date(2027, 2, 2),
            "pit.ground": date(2027, 2, 2),
        },
        "poured": {
            "pit.sump": date(2027, 2, 2),
            "pit.depth": date(2027, 2, 2),
            "pit.ground": date(2027, 2, 3),
        },
    }


def test_retired_tasks_and_links_have_no_dates(cast, stands):
    stands(FIRST)
    stands(without_task(FIRST, BACKING.key))
    dated = schedule_of(cast.project, MONDAY)
    assert (sorted(dated.tasks), len(dated.schedule.network.links)) == (
        ["board@rail-wall", "close-in@site", "pour@pit"],
        1,
    )


def test_a_portfolio_costs_the_same_queries_at_one_and_three_sites(cast, stands, django_assert_num_queries):
    stands(FIRST)
    sites = [cast.project, *(gather(f"{n}.", name=f"Site {n}").project for n in range(2))]
    for listed in (sites[:1], sites):
        with django_assert_num_queries(8):
            found = portfolio(listed, MONDAY)
    assert [(site.project, site.next_gate, site.next_visit) for site in found] == [
        (cast.project, ("close-in", MONDAY), None),
        (sites[1], None, None),
        (sites[2], None, None),
    ]
    assert list(found[0].needed_by) == ["pit.sump"]


def test_dates_are_reckoned_once_per_state_of_the_record_and_day(real_database, derivation, monkeypatch):
    cast = gather()
    accept(cast, lay(cast, derivation, FIRST))
    reckoned = []
    real = dating.reckon
    monkeypatch.setattr(dating, "reckon", lambda rows, today: reckoned.append(today) or real(rows, today))
    pour = row(POUR.key)
    for today in (MONDAY, MONDAY, date(2027, 2, 2)):
        schedule_of(cast.project, today)
    set_task_dates(cast.project, cast.visitor("contractor"), AT, pour.uid, own_duration=9)
    longer = schedule_of(cast.project, MONDAY)
    other = dated_plans([cast.project], MONDAY)[cast.project.pk]
    assert reckoned == [MONDAY, date(2027, 2, 2), MONDAY]
    assert (longer is other, days(longer)[POUR.key]) == (True, ("02/01", "02/11"))
