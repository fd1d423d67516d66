"""One real job through the floor: its file, the own catalogue, the rows, the dates."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from coordination.access.deciding import deciding
from coordination.dates.queries import needed_by, schedule_of
from coordination.projects.actions import FactInput, answer_question, derive_again, enter_facts
from coordination.projects.applying import apply_change
from coordination.projects.job_file import read_job
from coordination.projects.models import Authority, Condition, Gate, Link, PlanChange, Requirement, Task
from coordination.projects.queries import (
    open_change,
    packages,
    questions,
    standing_facts,
    standing_plan,
    tasks,
)
from coordination.record.models import Event
from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.plan import derive
from tests.standing_cast import AT, gather

JOB = Path(__file__).resolve().parent.parent.parent / "fixtures" / "facts" / "candle-works.toml"

pytestmark = pytest.mark.django_db


@pytest.fixture
def job():
    return read_job(JOB)


@pytest.fixture
def cast(job):
    found = gather(name=job.name)
    coordinator = found.visitor("coordinator")
    change = enter_facts(found.project, coordinator, AT, job.entries, authorities=job.authorities)
    accept(found, change)
    return found


def accept(cast, change):
    with deciding(cast.project, cast.visitor("coordinator"), AT) as pen:
        return apply_change(cast.project, change, pen.write("plan accepted", subject="plan", body={}))


def test_facts_from_the_file_stand_as_the_file_gives_them(cast, job):
    standing = standing_facts(cast.project)
    by = {fact.key: fact.said_by or "Ida Marsh" for fact in job.facts.values() if fact.state != "unknown"}
    assert {k: f for k, f in standing.items() if f.state != "unknown"} == {
        k: replace(f, said_by=by[k]) for k, f in job.facts.items() if f.state != "unknown"
    }


def test_the_rows_are_what_siteprep_derives_from_the_facts_in_the_file(cast, job):
    plan = derive(job.facts, load_catalogue())
    assert standing_plan(cast.project) == plan
    own = {"task__project": cast.project}
    assert {t.key for t in tasks(cast.project)} == {t.key for t in plan.tasks}
    assert Requirement.objects.filter(**own).count() == sum(len(t.requirements) for t in plan.tasks)
    assert {(k.before.key, k.after.key, k.kind) for k in Link.objects.select_related("before", "after")} == {
        link.key for link in plan.links
    }
    assert {g.key: g.task.key for g in Gate.objects.filter(**own).select_related("task")} == {
        gate.key: gate.task for gate in plan.gates
    }
    assert Condition.objects.count() == sum(len(gate.conditions) for gate in plan.gates)
    assert [q.fact for q in questions(cast.project)] == [q.fact for q in plan.questions]
    assert sum(len(package.tasks) for package in packages(cast.project)) == len(plan.tasks)


def test_nothing_is_left_to_accept_and_deriving_again_finds_nothing(cast):
    before = Event.objects.count()
    assert (derive_again(cast.project, None, AT), open_change(cast.project), Event.objects.count()) == (
        None,
        None,
        before,
    )


def test_every_task_and_gate_has_dates_on_working_days_and_every_question_a_day(cast):
    today = date(2027, 1, 11)
    dated = schedule_of(cast.project, today)
    assert set(dated.tasks) == {task.key for task in tasks(cast.project)}
    assert set(dated.gates) == set(Gate.objects.values_list("key", flat=True))
    calendars = {
        task.key: dated.schedule.network.calendars[task.calendar] for task in dated.schedule.network.tasks
    }
    off = [key for key, dates in dated.tasks.items() if not calendars[key].is_working(dates.early_start)]
    assert off == []
    assert dated.tasks[dated.critical_chain[-1]].early_last_day == dated.end
    assert set(needed_by(cast.project, today)) == {question.fact for question in questions(cast.project)}
    assert dated.schedule.open_ends is not None


def test_settling_a_question_lays_a_change_that_brings_no_loss(cast):
    fact = questions(cast.project)[0].fact
    definition = standing_facts(cast.project).definitions[fact]
    before = set(Task.objects.values_list("key", flat=True))
    answer = FactInput(typed=definition.answers[0], said_by="Elevator office")
    change = answer_question(cast.project, cast.visitor("contractor"), AT, fact, answer)
    assert fact in open_change(cast.project).summary["questions_settled"]
    accept(cast, change)
    assert fact not in [question.fact for question in questions(cast.project)]
    assert set(Task.objects.values_list("key", flat=True)) >= before
    accept(
        cast,
        enter_facts(cast.project, cast.visitor("coordinator"), AT, {fact: FactInput("unknown")}),
    )
    assert {task.key for task in tasks(cast.project)} == before
    assert PlanChange.objects.filter(state="accepted").count() == 3


def test_authorities_of_the_file_are_known_with_their_notice(cast):
    assert dict(Authority.objects.values_list("kind", "notice_days")) == {
        "elevator": 45,
        "building": 2,
        "electrical": 3,
        "fire": 10,
        "plumbing": 2,
    }
