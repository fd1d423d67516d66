"""What a change would do, before it is made: the same days as afterwards, nothing kept, the same luck on both sides."""

import itertools
from datetime import date
from functools import partial

import pytest

from coordination.access.permissions import NotAllowed
from coordination.access.refusals import NotVisible, Reason
from coordination.dates import forecasting
from coordination.dates.forecasting import OUTDOORS, causes_of, outlook_of, outlooks, supposed_outlook
from coordination.dates.models import KeptForecast, OwnLink
from coordination.dates.networks import rows_of
from coordination.dates.own_links import Wish, add_link, end_link, link_of
from coordination.dates.queries import schedule_of
from coordination.dates.refusals import LinkCannotBe
from coordination.dates.trade_days import let_trade_come
from coordination.dates.visiting import WORK, milestone_of, with_visits
from coordination.dates.what_if import Supposed, what_if
from coordination.projects.actions import set_task_dates
from coordination.projects.models import Task
from coordination.projects.refusals import DatesRefused
from coordination.record.models import Event
from coordination.scheduling.critical_path import schedule
from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.plan import Link
from tests.projects.small_plans import (
    BACKING,
    BOARD,
    CLOSE,
    CLOSE_IN,
    FIRST,
    POUR,
    gate,
    plan,
    task,
    without_task,
)
from tests.standing_cast import AT, gather

TODAY = date(2026, 3, 2)
RAILS, DOOR = (
    task("rails@rail-wall", "lift", calendar="lift"),
    task("hang-door@landing-1", "lift", calendar="lift"),
)
DRY, LEVEL = task("dry@pit", "concrete"), task("adjust@pit", "lift", calendar="lift")
CREW = plan(
    POUR,
    BACKING,
    RAILS,
    DRY,
    DOOR,
    LEVEL,
    links=(
        Link(POUR.key, BACKING.key),
        Link(BACKING.key, RAILS.key),
        Link(POUR.key, DOOR.key, "FS", 9, "working"),
        Link(RAILS.key, DRY.key),
        Link(DRY.key, DOOR.key),
        Link(DOOR.key, LEVEL.key),
    ),
)


@pytest.fixture
def site(cast, stands):
    stands(FIRST)
    return cast


def uid(key):
    return Task.objects.get(key=key).uid


def test_supposing_gives_the_days_that_doing_gives_and_keeps_nothing(site):
    before, links = Event.objects.count(), OwnLink.objects.count()
    supposed = what_if(site.project, TODAY, Supposed(tasks={POUR.key: {"own_duration": 7}}))
    assert (Event.objects.count(), OwnLink.objects.count()) == (before, links)
    assert Task.objects.get(key=POUR.key).own_duration is None
    set_task_dates(site.project, site.visitor("contractor"), AT, uid(POUR.key), own_duration=7)
    assert supposed.then.dated.tasks == schedule_of(site.project, TODAY).tasks
    assert supposed.then.sure == outlook_of(site.project, TODAY).sure
    assert supposed.now.sure != supposed.then.sure


def test_every_gate_visit_and_the_end_stand_side_by_side(cast, stands):
    milestone, waiting = gate("ready-for-crew")
    stands(
        plan(
            *CREW.tasks,
            milestone,
            links=(*CREW.links, Link(BACKING.key, milestone.key), Link(milestone.key, RAILS.key)),
            gates=(waiting,),
        )
    )
    moves = what_if(cast.project, TODAY, Supposed(tasks={POUR.key: {"own_duration": 4}})).moves
    assert [(move.kind, move.key, move.days) for move in moves] == [
        ("gate", "ready-for-crew", 2),
        ("visit", "rails", 2),
        ("visit", "return", 2),
        ("end", "", 2),
    ]
    first = moves[0]
    assert (first.now, first.then) == (date(2026, 3, 6), date(2026, 3, 10))
    assert first.sure_now >= first.now
    assert first.sure_days > 0


def test_what_alters_nothing_moves_nothing_in_any_run(site):
    same = what_if(site.project, TODAY, Supposed(tasks={BOARD.key: {"done_by": date(2026, 12, 1)}}))
    assert (same.alters, [move.sure_days for move in same.moves]) == (False, [0] * len(same.moves))
    assert same.now.sure == same.then.sure


def test_a_longer_task_never_brings_a_run_forward(site):
    longer = what_if(site.project, TODAY, Supposed(tasks={POUR.key: {"own_duration": 6}}))
    for key, sure in longer.now.sure.items():
        days = [longer.then.sure[key].at(share).last_day for share in (0.1, 0.5, 0.8, 0.9)]
        assert all(then >= now.last_day for then, now in zip(days, sure.quantiles, strict=True))


def test_a_visit_waits_for_what_others_do_and_not_for_its_own_work(cast, stands):
    stands(CREW)
    network = with_visits(schedule_of(cast.project, TODAY).schedule.network)
    into = {(link.before, link.after, link.lag) for link in network.links if link.after.startswith("visit ")}
    assert into == {
        (BACKING.key, milestone_of("rails"), 0),
        (POUR.key, milestone_of("rails"), 9),
        (DOOR.key, milestone_of("return"), 0),
    }
    days = schedule(network).tasks
    assert {key: days[key] for key in (POUR.key, LEVEL.key)} == {
        key: schedule_of(cast.project, TODAY).tasks[key] for key in (POUR.key, LEVEL.key)
    }


def test_the_tasks_of_visits_and_of_weather_are_in_the_catalogue():
    of_visits = {entry for work in WORK.values() for entry in work}
    assert (OUTDOORS | of_visits) - set(load_catalogue().tasks) == set()


def test_a_forecast_is_made_once_and_kept_once(site, django_assert_num_queries, monkeypatch):
    forecasting._made.clear()
    made = outlook_of(site.project, TODAY)
    forecasting._made.clear()
    monkeypatch.setattr(forecasting, "reckon_sureness", partial(pytest.fail, "made again"))
    with django_assert_num_queries(7):  # six of them load the rows of the plan
        again = outlook_of(site.project, TODAY)
    assert (again.sure, KeptForecast.objects.count()) == (made.sure, 1)
    monkeypatch.undo()
    set_task_dates(site.project, site.visitor("contractor"), AT, uid(POUR.key), own_duration=9)
    assert outlook_of(site.project, TODAY).sure != made.sure
    assert KeptForecast.objects.count() == 1


def test_many_sites_cost_the_queries_of_one(site, django_assert_num_queries):
    others = [gather(f"{n}.").project for n in range(2)]
    forecasting._made.clear()
    outlooks([site.project, *others], TODAY)
    for projects in ([site.project], [site.project, *others]):
        forecasting._made.clear()
        with django_assert_num_queries(7):
            outlooks(projects, TODAY)


def test_one_wet_season_hits_all_open_air_work_or_none(cast, stands):
    wet = [task(f"{entry}@pit", "concrete", 10) for entry in ("dig", "form-pit", "pour")]
    links = tuple(Link(a.key, b.key) for a, b in itertools.pairwise(wet))
    stands(plan(*wet, links=links))
    dated = schedule_of(cast.project, TODAY)
    assert causes_of(dated) == {each.key: "weather" for each in wet}
    apart, together = (supposed_outlook(dated, weather=weather).sure[""] for weather in (False, True))
    assert together.at(0.9).last_day >= apart.at(0.9).last_day
    assert together.at(0.1).last_day <= apart.at(0.1).last_day
    assert together != apart


def test_a_link_of_ones_own_moves_dates_until_it_is_taken_back(site):
    contractor, wish = site.visitor("contractor"), Wish(BOARD.key, CLOSE.key)
    with pytest.raises(LinkCannotBe) as refused:
        add_link(site.project, contractor, AT, wish)
    assert refused.value.reasons == (Reason("link closes a ring"),)
    wish, before = Wish(POUR.key, BOARD.key, "FS", 20, "calendar"), Event.objects.count()
    foreseen = what_if(
        site.project, TODAY, Supposed(links=(link_of(rows_of([site.project])[site.project.pk], wish),))
    )
    assert Event.objects.count() == before
    link = add_link(site.project, contractor, AT, wish)
    assert add_link(site.project, contractor, AT, wish) == link
    assert foreseen.then.dated.tasks == schedule_of(site.project, TODAY).tasks
    assert schedule_of(site.project, TODAY).tasks[BOARD.key].early_start > date(2026, 3, 20)
    with pytest.raises(LinkCannotBe, match="linked already"):
        add_link(site.project, contractor, AT, Wish(POUR.key, BOARD.key, "FS", 1))
    before = Event.objects.count()
    for _press in range(2):
        end_link(site.project, contractor, AT, link.uid)
    assert Event.objects.count() == before + 1
    assert schedule_of(site.project, TODAY).tasks[BOARD.key].early_start < date(2026, 3, 20)


@pytest.mark.parametrize(
    ("wish", "keys"),
    [
        (Wish("party@pit", POUR.key), ["no such task"]),
        (Wish(POUR.key, POUR.key), ["a task does not wait for itself"]),
        (Wish(POUR.key, BOARD.key, "XX", 999), ["no such link", "lag out of range"]),
    ],
)
def test_a_link_that_cannot_be_is_refused_with_everything_that_is_wrong(site, wish, keys):
    with pytest.raises(LinkCannotBe) as refused:
        add_link(site.project, site.visitor("contractor"), AT, wish)
    assert [reason.key for reason in refused.value.reasons] == keys


def test_only_those_who_set_dates_link_and_other_sites_links_are_not_visible(site):
    link = add_link(site.project, site.visitor("contractor"), AT, Wish(POUR.key, BOARD.key))
    for name in ("crew", "framer", "owner"):
        with pytest.raises(NotAllowed):
            end_link(site.project, site.visitor(name), AT, link.uid)
    far = gather("far.")
    with pytest.raises(NotVisible):
        end_link(far.project, far.visitor("contractor"), AT, link.uid)


def test_a_link_whose_work_left_the_plan_or_that_would_close_a_ring_stops_counting(site, stands):
    add_link(site.project, site.visitor("contractor"), AT, Wish(POUR.key, BOARD.key))
    add_link(site.project, site.visitor("contractor"), AT, Wish(BACKING.key, CLOSE.key))
    stands(plan(*FIRST.tasks, links=(*FIRST.links, Link(CLOSE.key, BACKING.key)), gates=(CLOSE_IN,)))
    assert schedule_of(site.project, TODAY).end is not None
    stands(without_task(FIRST, BOARD.key))
    assert BOARD.key not in schedule_of(site.project, TODAY).tasks


def test_a_trade_comes_from_a_day_on(site):
    contractor, day, before = site.visitor("contractor"), date(2026, 3, 23), Event.objects.count()
    assert [
        let_trade_come(site.project, contractor, AT, trade="framing", day=day) for _press in range(2)
    ] == [[BACKING.key], []]
    assert Event.objects.count() == before + 1
    assert schedule_of(site.project, TODAY).tasks[BACKING.key].early_start == day
    set_task_dates(site.project, contractor, AT, uid(BACKING.key), done_by=date(2026, 4, 1))
    with pytest.raises(DatesRefused):
        let_trade_come(site.project, contractor, AT, trade="framing", day=date(2026, 4, 2))
