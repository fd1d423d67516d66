"""Facts that change on a job halfway, through the pages: what differs, what it does to the days, what it costs, what stays."""

import re
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.db.models import F
from django.test import Client
from django.urls import reverse

from coordination.evidence.entering import EnteredFor
from coordination.evidence.models import Evidence
from coordination.projects.actions import FactInput, enter_facts
from coordination.projects.fact_values import inputs_from
from coordination.projects.models import Link, PlanRevision, Requirement, Task
from coordination.projects.queries import open_change
from coordination.record.models import Event
from coordination.siteprep.facts import load_facts
from tests.gates.sites import Site
from tests.standing_cast import AT, gather
from tests.web.test_facts import fields_of

FACTS = load_facts(Path(__file__).parents[2] / "fixtures" / "facts" / "candle-works.toml")
TO_THE_POUR = ("pour@pit",)
TO_THE_BOARD = ("board-inside@hoistway",)
TO_THE_POWER = ("power-on@machine-room",)
SPRINKLERS = {
    "sprinkler__standard": "13",
    "sprinkler__hoistway_top": "yes",
    "sprinkler__pit": "yes",
    "sprinkler__machine_room": "yes",
    "fire_alarm__pit_heat_detector": "yes",
}
TEXTED = EnteredFor(source="texted photo", company="Quarry Road Concrete")


@dataclass
class Halfway:
    """A job whose plan stands, with work done and evidence of the dig handed in through the real actions."""

    site: Site
    client: Client
    evidence: list[tuple[Any, ...]]

    @property
    def facts_page(self) -> str:
        return reverse("facts", args=[self.site.project.uid])

    @property
    def change_page(self) -> str:
        return reverse("change", args=[self.site.project.uid])

    def state(self, **changes: Any) -> Any:
        """Type the changes into the page of facts; gives the page of the change that follows."""
        typed = {key.replace("__", "."): value for key, value in changes.items()}
        sent = fields_of(self.client.get(self.facts_page))
        known = {f"{key}:state": "known" for key in typed}
        answer = self.client.post(self.facts_page, sent | typed | known)
        assert answer.status_code == 302
        assert answer["Location"] == self.change_page
        return self.client.get(self.change_page)

    def accept(self) -> None:
        view = open_change(self.site.project)
        assert view is not None
        assert self.client.post(self.change_page, {"change": str(view.uid)}).status_code == 302


@pytest.fixture
def halfway(db: Any, now: Any) -> Any:
    def build(done: tuple[str, ...], **before: Any) -> Halfway:
        site = Site(gather())
        told = inputs_from(FACTS) | {
            key.replace("__", "."): FactInput(typed=value) for key, value in before.items()
        }
        change = enter_facts(site.project, site.who("coordinator"), AT, told)
        assert change is not None
        client = Client()
        client.force_login(site.cast.people["coordinator"])
        accepted = client.post(reverse("change", args=[site.project.uid]), {"change": str(change.uid)})
        assert accepted.status_code == 302
        _dig_shown(site)
        _done(site, done)
        return Halfway(site, client, _evidence())

    return build


def _dig_shown(site: Site) -> None:
    """The dig is begun and its photos are handed in by those who may."""
    _done(site, ("locate@pit",))
    Task.objects.filter(project=site.project, key="dig@pit").update(begun_on=AT.date())
    for need in Requirement.objects.filter(task__project=site.project, task__key="dig@pit", kind="photo"):
        site.photo(f"dig@pit#{need.key}", "contractor", for_other=TEXTED)


def _done(site: Site, keys: tuple[str, ...]) -> None:
    """These tasks and everything before them are finished."""
    befores: dict[str, list[str]] = {}
    for before, after in Link.objects.filter(before__project=site.project).values_list(
        "before__key", "after__key"
    ):
        befores.setdefault(after, []).append(before)
    seen, waiting = set(keys), list(keys)
    while waiting:
        for before in befores.get(waiting.pop(), ()):
            if before not in seen:
                seen.add(before)
                waiting.append(before)
    rows = Task.objects.filter(project=site.project, key__in=seen)
    rows.filter(begun_on__isnull=True).update(begun_on=AT.date() - timedelta(days=2))
    rows.update(finished_on=AT.date())
    rows.filter(begun_on__gt=F("finished_on")).update(begun_on=F("finished_on"))


def _evidence() -> list[tuple[Any, ...]]:
    return list(
        Evidence.objects.order_by("pk").values_list(
            "uid", "blob__sha256", "terms_sha", "withdrawn_at", "requirement__task__key"
        )
    )


def names(bundles: Any) -> list[str]:
    return [task.name for bundle in bundles for task in bundle.tasks]


def accepted_once(job: Halfway) -> None:
    """Accepting writes one event and one revision, and no evidence is touched by it."""
    events, standing = Event.objects.count(), PlanRevision.objects.count()
    job.accept()
    assert (Event.objects.count(), PlanRevision.objects.count()) == (events + 1, standing + 1)
    assert job.evidence
    assert _evidence() == job.evidence
    assert open_change(job.site.project) is None


def counted(job: Halfway, page: Any) -> dict[str, int]:
    """Added, dropped, altered and untouched tasks as the page counts them; together they are all of the plan."""
    words = page.context["words"]
    added, dropped, altered = words.sizes
    view = open_change(job.site.project)
    assert view is not None
    assert added + altered + words.untouched == len(view.proposed.tasks)
    assert dropped + altered + words.untouched == len(view.standing.tasks)
    return {"added": added, "dropped": dropped, "altered": altered}


def rework(page: Any) -> dict[str, str]:
    return {line.name: line.why for line in page.context["rework"]}


def moved(page: Any) -> list[str]:
    return [line.name for line in page.context["moves"] if line.now != line.then]


def view_of(job: Halfway) -> Any:
    found = open_change(job.site.project)
    assert found is not None
    return found


def test_sprinklers_appear_after_the_pour(halfway: Any) -> None:
    job = halfway(TO_THE_POUR)
    page = job.state(**SPRINKLERS)
    assert counted(job, page) == {"added": 6, "dropped": 0, "altered": 1}
    assert len(names(page.context["words"].added)) == 6
    assert rework(page) == {}
    assert all(line.now and line.then for line in page.context["moves"])
    assert "fire-service" in {gate.key for gate in view_of(job).proposed.gates}
    accepted_once(job)
    assert Task.objects.filter(project=job.site.project, key="sprinkler-pit@pit", retired_in=None).exists()


def test_sprinklers_that_appear_when_recall_is_wired_move_the_last_gates(halfway: Any) -> None:
    late = ("recall-wiring@machine-room", "adjust@hoistway", "firestop@hoistway", "electrical-final@site")
    job = halfway(late)
    page = job.state(**SPRINKLERS)
    assert "new work that should have come before work that is done" in set(rework(page).values())
    assert moved(page) != []
    accepted_once(job)


def test_a_rear_opening_is_added_when_the_board_is_up(halfway: Any) -> None:
    job = halfway(TO_THE_BOARD)
    page = job.state(landing__2__rear="yes")
    assert counted(job, page) == {"added": 4, "dropped": 0, "altered": 0}
    assert [name.partition(",")[0][:17] for name in rework(page)][-1:] == ["Frame the opening"]
    assert set(rework(page).values()) == {"new work that should have come before work that is done"}
    assert "What it costs in work that is done" in page.content.decode()
    assert all(line.now and line.then for line in page.context["moves"])
    accepted_once(job)
    opening = Task.objects.get(project=job.site.project, key="frame-opening@landing-2-rear")
    assert opening.finished_on is None


def test_power_turns_out_to_be_single_phase(halfway: Any) -> None:
    three = {"power__phases": "three", "power__volts": 208, "power__earthing": "wye"}
    job = halfway(TO_THE_POWER, **three, power__lowering_cut_off="auxiliary contact")
    page = job.state(
        power__phases="single", power__volts="230", power__earthing="split",
        power__lowering_cut_off="third pole",
    )  # fmt: skip
    sizes = counted(job, page)
    assert (sizes["dropped"], sizes["altered"] > 0) == (0, True)
    assert any("isconnect" in name for name in rework(page))
    accepted_once(job)
    keys = set(
        Requirement.objects.filter(
            task__project=job.site.project, task__key="disconnects@machine-room", retired_in=None
        ).values_list("key", flat=True)
    )
    assert {"third-pole", "third-pole-letter"} <= keys
    assert "auxiliary-contact" not in keys


def test_a_sump_becomes_required_after_the_pour(halfway: Any) -> None:
    job = halfway(TO_THE_POUR, pit__sump="no")
    page = job.state(pit__sump="yes")
    assert counted(job, page)["added"] > 0
    reasons = rework(page)
    assert any("ecess" in name or "ump" in name for name in reasons)
    assert re.search(r"What was said.*sump", page.content.decode(), re.DOTALL | re.IGNORECASE)
    accepted_once(job)
    assert Task.objects.filter(project=job.site.project, entry="sump-pump", retired_in=None).exists()
