"""A change of plan becomes rows: by key, nothing deleted, people's own values and evidence untouched."""

import uuid
from dataclasses import replace
from datetime import date

import pytest
from django.db import DatabaseError, IntegrityError, transaction

from coordination.access.deciding import deciding
from coordination.access.permissions import NotAllowed
from coordination.access.refusals import NotVisible
from coordination.evidence.models import Evidence
from coordination.projects.actions import derive_again, set_task_dates
from coordination.projects.applying import apply_change, keep_plan
from coordination.projects.models import (
    Condition,
    Gate,
    Link,
    PlanChange,
    PlanRevision,
    Question,
    Requirement,
    Task,
)
from coordination.projects.queries import (
    MovedUnder,
    is_settled,
    open_change,
    packages,
    questions,
    standing_plan,
    standing_plans,
    tasks,
)
from coordination.projects.refusals import ChangeGone, DatesRefused
from coordination.record.models import Event
from coordination.siteprep import plan as siteprep
from coordination.siteprep.plan import Condition as GateCondition
from tests.projects.conftest import accept, lay
from tests.projects.small_plans import (
    BACKING,
    BOARD,
    CLOSE,
    CLOSE_IN,
    COVERS,
    FIRST,
    POUR,
    photo,
    question,
    task,
    with_task,
    without_task,
)
from tests.standing_cast import AT, gather


def rows(project):
    """Every row that a plan makes, as values, without the keys of the database."""
    own = {"project": project}
    return {
        "tasks": [
            (t.key, t.trade, t.derived, t.provisional, t.is_gate, t.place_order, t.origin, t.retired_in)
            for t in Task.objects.filter(**own).order_by("key")
        ],
        "requirements": [
            (r.task.key, r.key, r.terms, r.terms_sha, r.order, r.retired_in)
            for r in Requirement.objects.filter(task__project=project).order_by("task__key", "key")
        ],
        "links": [
            (k.before.key, k.after.key, k.kind, k.lag, k.unit, k.handoff, k.retired_in)
            for k in Link.objects.filter(project=project).order_by("before__key", "after__key")
        ],
        "gates": [
            (g.key, g.task.key, g.signers, g.clears) for g in Gate.objects.filter(task__project=project)
        ],
        "conditions": [
            (c.gate.key, c.kind, c.subject, c.retired_in)
            for c in Condition.objects.filter(gate__task__project=project).order_by("kind", "subject")
        ],
        "questions": [
            (q.fact, q.decides, q.retired_in) for q in Question.objects.filter(**own).order_by("fact")
        ],
    }


def test_the_first_plan_becomes_rows(cast, stands):
    applied = stands(FIRST)
    assert (applied.revision.number, applied.plan) == (1, FIRST)
    assert standing_plan(cast.project) == FIRST
    found = rows(cast.project)
    assert [
        (key, trade, gate, order, origin, end)
        for key, trade, _, _, gate, order, origin, end in found["tasks"]
    ] == [
        ("backing@rail-wall", "framing", False, 1, 1, None),
        ("board@rail-wall", "drywall", False, 1, 1, None),
        ("close-in@site", "general contractor", True, 2, 1, None),
        ("pour@pit", "concrete", False, 0, 1, None),
    ]
    assert [(key, name, order, end) for key, name, _, _, order, end in found["requirements"]] == [
        ("backing@rail-wall", "photo", 0, None),
        ("board@rail-wall", "photo", 0, None),
        ("pour@pit", "photo", 0, None),
    ]
    assert found["links"] == [
        ("backing@rail-wall", "board@rail-wall", "covers", 0, "working", False, None),
        ("close-in@site", "board@rail-wall", "FS", 0, "working", False, None),
        ("pour@pit", "backing@rail-wall", "FS", 0, "working", False, None),
    ]
    assert found["gates"] == [("close-in", "close-in@site", ["contractor"], "contractor")]
    assert found["conditions"] == [
        ("close-in", "signature", "contractor", None),
        ("close-in", "task accepted", "backing@rail-wall", None),
    ]
    assert found["questions"] == [("pit.sump", "contractor", None)]
    assert Task.objects.get(key=POUR.key).derived["duration"] == {"low": 1, "likely": 2, "high": 4}
    assert is_settled(cast.project)


def test_keeping_the_same_plan_twice_changes_no_row(cast, stands):
    applied = stands(FIRST)
    before = (rows(cast.project), list(Task.objects.order_by("pk").values_list("pk", "uid")))
    keep_plan(cast.project, FIRST, applied.revision.number + 1)
    assert (rows(cast.project), list(Task.objects.order_by("pk").values_list("pk", "uid"))) == before


def test_a_plan_that_is_the_standing_one_lays_no_change(cast, stands, derivation):
    stands(FIRST)
    assert lay(cast, derivation, FIRST) is None
    assert (open_change(cast.project), PlanChange.objects.count()) == (None, 1)


def test_newer_facts_replace_the_open_change_and_going_back_closes_it(cast, stands, derivation):
    stands(FIRST)
    first = lay(cast, derivation, with_task(FIRST, task(POUR.key, "concrete", 5)))
    second = lay(cast, derivation, with_task(FIRST, task(POUR.key, "concrete", 6)))
    same = lay(cast, derivation, with_task(FIRST, task(POUR.key, "concrete", 6)))
    assert (first.pk != second.pk, same) == (True, second)
    assert not is_settled(cast.project)
    assert lay(cast, derivation, FIRST) is None
    states = PlanChange.objects.order_by("pk").values_list("state", flat=True)
    assert list(states) == ["accepted", "replaced", "replaced"]


def test_a_change_that_was_replaced_or_accepted_cannot_be_accepted(cast, stands, derivation):
    stands(FIRST)
    gone = lay(cast, derivation, with_task(FIRST, task(POUR.key, "concrete", 5)))
    still = lay(cast, derivation, with_task(FIRST, task(POUR.key, "concrete", 6)))
    for change in (gone, accept(cast, still) and still):
        before = (rows(cast.project), Event.objects.count(), PlanRevision.objects.count())
        with pytest.raises(ChangeGone):
            accept(cast, change)
        assert (rows(cast.project), Event.objects.count(), PlanRevision.objects.count()) == before


def test_a_change_of_another_project_cannot_be_accepted_here(cast, stands, derivation):
    stands(FIRST)
    change = lay(cast, derivation, with_task(FIRST, task(POUR.key, "concrete", 5)))
    other = gather("other.")
    with pytest.raises(ChangeGone), deciding(other.project, other.visitor("coordinator"), AT) as pen:
        apply_change(other.project, change, pen.write("plan accepted", subject="plan", body={}))
    assert open_change(cast.project).uid == change.uid


def test_the_change_names_what_is_added_dropped_altered_and_untouched(cast, stands, derivation):
    stands(FIRST)
    heavier = replace(task(POUR.key, "concrete", 5), requirements=(photo(POUR.key), photo(POUR.key, "cure")))
    new = with_task(without_task(FIRST, BOARD.key), heavier)
    sump = task("sump@pit", "plumbing")
    lay(cast, derivation, replace(new, tasks=(*new.tasks, sump), questions=()))
    view = open_change(cast.project)
    assert (view.standing, view.proposed.tasks[-1], view.is_first) == (FIRST, sump, False)
    assert {key: value for key, value in view.summary.items() if value} == {
        "added": ["sump@pit"],
        "dropped": ["board@rail-wall"],
        "altered": [
            {
                "key": "pour@pit",
                "old_key": "pour@pit",
                "fields": ["duration", "requirements"],
                "requirements": ["cure"],
            }
        ],
        "untouched": ["backing@rail-wall", "close-in@site"],
        "links_dropped": [
            ["backing@rail-wall", "board@rail-wall", "covers"],
            ["close-in@site", "board@rail-wall", "FS"],
        ],
        "questions_settled": ["pit.sump"],
    }


def test_what_is_dropped_is_retired_and_what_returns_is_revived_as_the_same_row(cast, stands):
    stands(FIRST)
    whole = rows(cast.project)
    before = {t.key: (t.pk, t.uid) for t in Task.objects.all()}
    less = replace(without_task(FIRST, BOARD.key), questions=())
    less = replace(less, gates=(replace(CLOSE_IN, conditions=CLOSE_IN.conditions[:1]),))
    stands(less)
    retired = {
        "tasks": list(Task.objects.filter(retired_in=2).values_list("key", flat=True)),
        "requirements": list(Requirement.objects.filter(retired_in=2).values_list("task__key", flat=True)),
        "links": sorted(Link.objects.filter(retired_in=2).values_list("before__key", "kind")),
        "conditions": list(Condition.objects.filter(retired_in=2).values_list("kind", flat=True)),
        "questions": list(Question.objects.filter(retired_in=2).values_list("fact", flat=True)),
    }
    assert retired == {
        "tasks": ["board@rail-wall"],
        "requirements": ["board@rail-wall"],
        "links": [("backing@rail-wall", "covers"), ("close-in@site", "FS")],
        "conditions": ["signature"],
        "questions": ["pit.sump"],
    }
    assert [t.key for t in tasks(cast.project)] == ["pour@pit", "backing@rail-wall", "close-in@site"]
    stands(FIRST)
    assert rows(cast.project) == whole
    assert {t.key: (t.pk, t.uid) for t in Task.objects.all()} == before


def test_peoples_own_values_and_progress_survive_an_accepted_change(cast, stands):
    stands(FIRST)
    contractor = cast.visitor("contractor")
    pour, backing = (Task.objects.get(key=key) for key in (POUR.key, BACKING.key))
    set_task_dates(
        cast.project,
        contractor,
        AT,
        pour.uid,
        own_duration=7,
        not_before=date(2026, 4, 1),
        done_by=date(2026, 5, 1),
    )
    Task.objects.filter(pk=backing.pk).update(begun_on=date(2026, 3, 2), remaining=2)
    stands(without_task(with_task(FIRST, task(POUR.key, "concrete", 5)), BACKING.key))
    stands(with_task(FIRST, task(POUR.key, "concrete", 6)))
    pour.refresh_from_db()
    backing.refresh_from_db()
    assert (pour.own_duration, pour.not_before, pour.done_by, pour.derived["duration"]["likely"]) == (
        7, date(2026, 4, 1), date(2026, 5, 1), 6,
    )  # fmt: skip
    assert (backing.begun_on, backing.remaining, backing.retired_in) == (date(2026, 3, 2), 2, None)


def test_a_derived_value_that_moves_under_peoples_own_is_its_own_line_of_the_change(cast, stands, derivation):
    stands(FIRST)
    for key in (POUR.key, BACKING.key):
        own = Task.objects.get(key=key)
        set_task_dates(cast.project, cast.visitor("contractor"), AT, own.uid, own_duration=7)
    moved = with_task(with_task(FIRST, task(POUR.key, "concrete", 5)), task(BOARD.key, "drywall", 9))
    lay(cast, derivation, moved)
    assert open_change(cast.project).moved_under == (MovedUnder("pour@pit", "duration", 7, 2, 5),)


def test_a_renamed_entry_keeps_its_row_and_everything_on_it(cast, stands, derivation):
    stands(FIRST)
    old = Task.objects.get(key=BACKING.key)
    requirement = Requirement.objects.get(task=old)
    set_task_dates(cast.project, cast.visitor("contractor"), AT, old.uid, own_duration=7)
    new = task(
        "blocking@rail-wall", likely=5, was=(BACKING.key,), requirements=(photo("blocking@rail-wall"),)
    )
    renamed = replace(
        FIRST,
        tasks=tuple(new if each.key == BACKING.key else each for each in FIRST.tasks),
        links=(siteprep.Link(POUR.key, new.key), siteprep.Link(new.key, BOARD.key, "covers"), FIRST.links[2]),
        gates=(replace(CLOSE_IN, conditions=(GateCondition("task accepted", new.key),)),),
    )
    lay(cast, derivation, renamed)
    view = open_change(cast.project)
    assert (view.summary["altered"][0]["old_key"], view.moved_under) == (
        BACKING.key,
        (MovedUnder(new.key, "duration", 7, 3, 5),),
    )
    accept(cast, PlanChange.objects.get(uid=view.uid))
    row = Task.objects.get(pk=old.pk)
    assert (row.key, row.uid, row.own_duration, row.retired_in) == (new.key, old.uid, 7, None)
    assert Requirement.objects.get(task=row) == requirement
    assert Task.objects.count() == 4
    assert Link.objects.filter(retired_in__isnull=False).count() == 0
    assert Condition.objects.get(subject=new.key).retired_in is None
    assert Condition.objects.get(subject=BACKING.key).retired_in == 2


def evidence_on(cast, requirement):
    with deciding(cast.project, cast.visitor("framer"), AT) as pen:
        return Evidence.objects.create(
            requirement=requirement,
            sender_key=uuid.uuid4(),
            terms_sha=requirement.terms_sha,
            value={"seen": True},
            received_at=AT,
            sender="person:x",
            sender_name="Bo Tran",
            event=pen.write("evidence handed in", subject="x", body={}),
        )


def test_evidence_is_never_touched_by_a_change(cast, stands):
    stands(FIRST)
    requirement = Requirement.objects.get(task__key=BACKING.key)
    evidence_on(cast, requirement)
    before = list(Evidence.objects.values())
    stands(without_task(FIRST, BACKING.key))
    stands(with_task(FIRST, replace(BACKING, requirements=(photo(BACKING.key, accepts="contractor"),))))
    stands(FIRST)
    assert list(Evidence.objects.values()) == before
    requirement.refresh_from_db()
    assert requirement.terms_sha == before[0]["terms_sha"]


@pytest.mark.parametrize(
    ("altered", "moves"),
    [
        ({"accepts": "contractor"}, True),
        ({"unit": "length", "low": 1, "high": 2}, True),
        ({"concede": ("coordinator",)}, True),
        ({"text": {"en": "The same photo in other words"}}, False),
        ({"stand": {"en": "Stand outside the guard."}}, False),
    ],
)
def test_terms_move_with_what_was_agreed_and_not_with_the_wording(cast, stands, altered, moves):
    stands(FIRST)
    before = Requirement.objects.get(task__key=BACKING.key)
    stands(with_task(FIRST, replace(BACKING, requirements=(photo(BACKING.key, **altered),))))
    after = Requirement.objects.get(task__key=BACKING.key)
    assert (after.pk, after.terms != before.terms, after.terms_sha != before.terms_sha) == (
        before.pk,
        True,
        moves,
    )


def test_questions_packages_and_tasks_are_shaped_in_few_queries(cast, stands, django_assert_num_queries):
    one = replace(FIRST, tasks=(POUR,), links=(), gates=())
    three = replace(
        FIRST, questions=tuple(question(f"pit.{f}", POUR.key) for f in ("sump", "depth", "ground"))
    )
    for plan, count in ((one, 1), (three, 3)):
        stands(plan)
        with django_assert_num_queries(2):
            assert len(questions(cast.project)) == count
        with django_assert_num_queries(2):
            assert len(tasks(cast.project)) == len(plan.tasks)
        with django_assert_num_queries(2):
            found = packages(cast.project)
    assert [(p.key, [t.key for t in p.tasks]) for p in found] == [
        ("pit", ["pour@pit"]),
        ("walls", ["backing@rail-wall", "close-in@site", "board@rail-wall"]),
    ]
    first = questions(cast.project)[0]
    assert (first.fact, first.text, first.tasks) == ("pit.sump", {"en": "pit.sump?"}, ("pour@pit",))


def test_plans_of_many_projects_cost_one_query(cast, stands, django_assert_num_queries):
    stands(FIRST)
    stands(with_task(FIRST, task(POUR.key, "concrete", 5)))
    others = [gather(f"{n}.").project for n in range(2)]
    for projects in ([cast.project], [cast.project, *others]):
        with django_assert_num_queries(1):
            found = standing_plans(projects)
        assert found[cast.project.pk].task(POUR.key).duration.likely == 5
    assert [found[project.pk].tasks for project in others] == [(), ()]


def test_accepting_costs_as_many_queries_for_three_tasks_as_for_thirty(cast, stands, derivation):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    stands(FIRST)
    counts = []
    for n in (1, 20):
        more = tuple(task(f"part-{n}-{each}@pit") for each in range(n))
        links = tuple(siteprep.Link(POUR.key, each.key) for each in more)
        change = lay(
            cast, derivation, replace(FIRST, tasks=(*FIRST.tasks, *more), links=(*FIRST.links, *links))
        )
        with CaptureQueriesContext(
            connection,
        ) as captured:
            accept(cast, change)
        counts.append(len(captured))
    assert counts[0] == counts[1] - 3  # three tables have rows to retire the second time


# ------------------------------------------------------------------ days that people set


def test_dates_are_set_once_taken_back_and_recorded(cast, stands):
    stands(FIRST)
    pour, contractor = Task.objects.get(key=POUR.key), cast.visitor("contractor")
    before = Event.objects.count()
    for _ in range(2):
        set_task_dates(cast.project, contractor, AT, pour.uid, done_by=date(2026, 5, 1))
    assert Event.objects.count() == before + 1
    assert set_task_dates(cast.project, contractor, AT, pour.uid, done_by=None).done_by is None
    assert Task.objects.get(pk=pour.pk).done_by is None


@pytest.mark.parametrize(
    ("key", "given", "reasons"),
    [
        (
            POUR.key,
            {"not_before": date(2026, 5, 2), "done_by": date(2026, 5, 1)},
            ["done by before not before"],
        ),
        (POUR.key, {"own_duration": 0}, ["duration out of range"]),
        (POUR.key, {"own_duration": 401}, ["duration out of range"]),
        (CLOSE.key, {"own_duration": 1}, ["a gate takes no time"]),
    ],
)
def test_days_that_cannot_be_are_refused_and_nothing_changes(cast, stands, key, given, reasons):
    stands(FIRST)
    row = Task.objects.get(key=key)
    before = (rows(cast.project), Event.objects.count())
    with pytest.raises(DatesRefused) as refused:
        set_task_dates(cast.project, cast.visitor("contractor"), AT, row.uid, **given)
    assert [reason.key for reason in refused.value.reasons] == reasons
    assert (rows(cast.project), Event.objects.count()) == before


def test_days_of_finished_or_foreign_or_retired_work_are_not_set(cast, stands):
    stands(FIRST)
    contractor = cast.visitor("contractor")
    backing, board = Task.objects.get(key=BACKING.key), Task.objects.get(key=BOARD.key)
    Task.objects.filter(pk=backing.pk).update(begun_on=date(2026, 3, 2), finished_on=date(2026, 3, 2))
    with pytest.raises(DatesRefused):
        set_task_dates(cast.project, contractor, AT, backing.uid, own_duration=2)
    stands(without_task(FIRST, BOARD.key))
    other = gather("other.")
    for project, visitor, uid in (
        (cast.project, contractor, board.uid),
        (other.project, other.visitor("contractor"), backing.uid),
    ):
        with pytest.raises(NotVisible):
            set_task_dates(project, visitor, AT, uid, own_duration=2)
    with pytest.raises(NotAllowed):
        set_task_dates(cast.project, cast.visitor("framer"), AT, backing.uid, own_duration=2)


# ------------------------------------------------------------------ what the database holds


def test_the_database_refuses_a_loop_of_one_and_a_second_open_change(cast, stands, derivation):
    stands(FIRST)
    pour = Task.objects.get(key=POUR.key)
    with pytest.raises(IntegrityError), transaction.atomic():
        Link.objects.create(project=cast.project, before=pour, after=pour, kind="FS", origin=1)
    change = lay(cast, derivation, with_task(FIRST, task(POUR.key, "concrete", 5)))
    change.pk, change.uid = None, uuid.uuid4()
    with pytest.raises(IntegrityError), transaction.atomic():
        change.save(force_insert=True)
    requirement = Requirement.objects.first()
    with pytest.raises(IntegrityError), transaction.atomic():
        Requirement.objects.filter(pk=requirement.pk).update(release="elevator", concede=["coordinator"])


def test_the_database_refuses_to_alter_a_revision(real_database, derivation):
    cast = gather()
    accept(cast, lay(cast, derivation, FIRST))
    for act in (lambda: PlanRevision.objects.update(number=2), lambda: PlanRevision.objects.all().delete()):
        with pytest.raises(DatabaseError, match="append-only"):
            act()
    assert rows(cast.project)["links"][0][:3] == (COVERS.before, COVERS.after, "covers")
    assert derive_again(cast.project, None, AT) is None
