"""A change of plan at the screens: what it says side by side, who accepts it, what it does to the days."""

from dataclasses import replace
from typing import Any

import pytest
from django.urls import reverse

from coordination.access.models import Project
from coordination.dates.queries import schedule_of
from coordination.dates.what_if import dates_under
from coordination.projects.actions import FactInput, enter_facts
from coordination.projects.models import PlanChange, PlanRevision, Task
from coordination.projects.queries import open_change
from coordination.record.models import Event
from coordination.siteprep.plan import Duration, Question
from tests.gates.sites import BACKING, INCH, JOB, ROUGH, SWEEP, Site, build, reading
from tests.projects.small_plans import task
from tests.standing_cast import LATER, Cast

QUERIES = 24
DAY = LATER.date()


def page(site: Site) -> str:
    return reverse("change", args=[site.project.uid])


def altered_job() -> Any:
    """Backing takes longer and asks for another spread, the sweep goes, a brace comes, a question opens."""
    longer = replace(
        BACKING,
        duration=Duration(3, 9, 12),
        requirements=(
            BACKING.requirements[0],
            reading(
                BACKING.key, "spread", low=31 * INCH, high=33 * INCH, accepts="coordinator", answer_hours=24
            ),
        ),
    )
    tasks = [longer if each.key == BACKING.key else each for each in JOB.tasks if each.key != SWEEP.key]
    return replace(
        JOB,
        tasks=(*tasks, task("brace@rail-wall", "framing", requirements=())),
        questions=(Question("pit.sump", {"en": "Is a sump required?"}, "elevator", ()),),
    )


def test_it_says_side_by_side_what_differs(site: Site, seen_by: Any) -> None:
    site.start(BACKING.key, "framer")
    site.lay(altered_job())
    words = seen_by("coordinator").get(page(site)).context["words"]
    assert [task.name for bundle in words.added for task in bundle.tasks] == ["brace"]
    assert [task.name for bundle in words.dropped for task in bundle.tasks] == ["sweep"]
    [altered] = [task for bundle in words.altered for task in bundle.tasks]
    assert (altered.name, altered.place, altered.work) == (
        "backing",
        "Rail wall",
        "at work; what was handed in stays",
    )
    assert [(each.part, each.before, each.after) for each in altered.differences] == [
        ("likely working days", str(BACKING.duration.likely), "9"),
        ("must show", "spread: 2' 5\" – 2' 7\"", "spread: 2' 7\" – 2' 9\""),
    ]
    assert (words.untouched, words.opened) == (5, ("Is a sump required?",))


def test_the_days_of_the_gates_are_those_that_accepting_brings(site: Site, seen_by: Any) -> None:
    site.start(BACKING.key, "framer")
    site.lay(altered_job())
    change = open_change(site.project)
    assert change is not None
    foreseen = dates_under(site.project, change.proposed, DAY)
    shown = seen_by("coordinator").get(page(site)).context["moves"]
    client = seen_by("coordinator")
    client.post(page(site), {"change": str(change.uid)})
    after = schedule_of(Project.objects.get(pk=site.project.pk), DAY)
    assert (foreseen.gates, foreseen.end, foreseen.tasks) == (after.gates, after.end, after.tasks)
    assert [(line.name, line.later) for line in shown] == [
        ("close-in", False),
        ("handover", True),
        ("Visit: Rails, jack and doors", True),
        ("Last day of work", True),
    ]
    assert shown[-1].move.endswith("days later")
    assert shown[-1].sure_move.endswith("days later")


def test_a_duration_set_by_hand_under_which_it_moves_is_named(site: Site, seen_by: Any) -> None:
    Task.objects.filter(key=BACKING.key).update(own_duration=4)
    site.lay(altered_job())
    [moved] = seen_by("coordinator").get(page(site)).context["words"].moved
    assert (moved.part, moved.before, moved.after) == ("backing (4 working days set by hand)", "3", "9")


def test_accepting_twice_is_harmless(site: Site, seen_by: Any) -> None:
    change, client = site.lay(altered_job()), seen_by("coordinator")
    sent = {"change": str(change.uid)}
    assert [client.post(page(site), sent).status_code for _ in range(2)] == [302, 302]
    assert PlanRevision.objects.filter(project=site.project).count() == 2
    assert "No change waits" in client.get(page(site)).content.decode()


def test_a_change_that_newer_facts_replaced_is_not_accepted(site: Site, seen_by: Any) -> None:
    old = site.lay(replace(JOB, drawing_revision="D"))
    site.lay(altered_job())
    before = Event.objects.count()
    answer = seen_by("coordinator").post(page(site), {"change": str(old.uid)})
    assert (answer.status_code, Event.objects.count()) == (422, before)
    assert "Newer facts replaced this change" in answer.content.decode()


@pytest.mark.parametrize("sent", ["", "no uuid", "1a6ebd1c-9b2e-4262-89db-966ad6c2030b"])
def test_a_change_that_is_none_is_not_there(site: Site, seen_by: Any, sent: str) -> None:
    assert seen_by("coordinator").post(page(site), {"change": sent}).status_code == 404


def test_nor_another_projects_change(site: Site, seen_by: Any) -> None:
    far = build("far.")
    foreign = far.lay(altered_job())
    assert seen_by("coordinator").post(page(site), {"change": str(foreign.uid)}).status_code == 404
    assert seen_by("coordinator").post(page(far), {"change": str(foreign.uid)}).status_code == 404
    assert PlanChange.objects.get(pk=foreign.pk).state == "open"


@pytest.mark.parametrize("name", ["contractor", "crew"])
def test_others_on_the_site_see_it_and_do_not_accept(site: Site, seen_by: Any, name: str) -> None:
    change, client = site.lay(altered_job()), seen_by(name)
    assert "Accept the change" not in client.get(page(site)).content.decode()
    assert client.post(page(site), {"change": str(change.uid)}).status_code == 404


@pytest.mark.parametrize("name", ["framer", "left", "owner", "stranger"])
def test_for_everybody_else_it_is_not_there(site: Site, seen_by: Any, name: str) -> None:
    assert seen_by(name).get(page(site)).status_code == 404


def test_the_first_plan_says_so(cast: Cast, signed_in: Any) -> None:
    enter_facts(
        cast.project, cast.visitor("coordinator", LATER), LATER, {"pit.depth": FactInput(typed='14"')}
    )
    client, address = signed_in("coordinator"), reverse("change", args=[cast.project.uid])
    answer = client.get(address)
    assert "The first plan" in answer.content.decode()
    assert sum(len(bundle.tasks) for bundle in answer.context["words"].added) > 40
    lines = answer.context["moves"]
    assert {(line.now, line.sure_now) for line in lines} == {("", "")}
    assert len(lines) > 10
    assert client.post(address, {"change": str(answer.context["change"].uid)}).status_code == 302
    assert Task.objects.filter(project=cast.project).count() > 40


def test_it_costs_the_same_however_much_differs(
    site: Site, seen_by: Any, django_assert_num_queries: Any
) -> None:
    client = seen_by("coordinator")
    site.lay(
        replace(
            JOB,
            tasks=tuple(replace(t, first_line={"en": "x"}) if t.key == ROUGH.key else t for t in JOB.tasks),
        )
    )
    with django_assert_num_queries(QUERIES):
        client.get(page(site))
    site.lay(altered_job())
    with django_assert_num_queries(QUERIES):
        client.get(page(site))
