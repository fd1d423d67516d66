"""Local and company rules at the screens: laid down, checked, planned with, taken to another site, withdrawn."""

from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from coordination.access.actions import open_project
from coordination.access.models import Assignment, Project
from coordination.projects.actions import enter_facts
from coordination.projects.fact_values import FactInput, inputs_from
from coordination.projects.models import PlanChange, PlanRevision, RuleSheet, Task
from coordination.projects.queries import open_change
from coordination.record.models import Event
from coordination.record.queries import newest
from coordination.siteprep.facts import load_facts
from tests.standing_cast import AT, Cast

FIXTURES = Path(__file__).parents[2] / "fixtures"
TOWN = (FIXTURES / "rules" / "harbor-town.toml").read_text()
COMPANY = (FIXTURES / "rules" / "lantern-lifts.toml").read_text()
FACTS = load_facts(FIXTURES / "facts" / "ropewalk.toml")
QUERIES = 9


@pytest.fixture
def coordinator(cast: Cast, signed_in: Any) -> Any:
    """At a site whose first plan stands, derived by the catalogue alone."""
    client = signed_in("coordinator")
    change = enter_facts(cast.project, cast.visitor("coordinator"), AT, inputs_from(FACTS))
    assert change is not None
    client.post(reverse("change", args=[cast.project.uid]), {"change": str(change.uid)})
    assert PlanRevision.objects.filter(project=cast.project).count() == 1
    return client


def page(cast: Cast) -> str:
    return reverse("rules", args=[cast.project.uid])


def file(text: str, name: str = "harbor-town.toml") -> dict[str, Any]:
    return {"doing": "lay", "file": SimpleUploadedFile(name, text.encode())}


def accept(cast: Cast, client: Any) -> None:
    change = PlanChange.objects.get(project=cast.project, state="open")
    client.post(reverse("change", args=[cast.project.uid]), {"change": str(change.uid)})


def standing_tasks(cast: Cast) -> set[str]:
    return set(Task.objects.filter(project=cast.project, retired_in=None).values_list("key", flat=True))


def test_a_towns_rules_are_laid_down_accepted_and_withdrawn(cast: Cast, coordinator: Any) -> None:
    plain, before = standing_tasks(cast), Event.objects.count()
    answer = coordinator.post(page(cast), file(TOWN))
    assert (answer.status_code, answer.url) == (302, reverse("change", args=[cast.project.uid]))
    assert Event.objects.count() == before + 1
    last = newest(cast.project.stream, most=1)[0]
    assert (last.verb, last.subject) == ("local rules laid down", "harbor-town")
    assert last.body["entries"] == [
        "task flood-level",
        "addition room-light",
        "addition dig",
        "finding harbor-groundwater",
    ]
    view = open_change(cast.project)
    assert view is not None
    assert view.summary["added"] == ["flood-level@pit"]
    assert "Show the pit floor against the flood level" in coordinator.get(answer.url).content.decode()
    assert standing_tasks(cast) == plain
    accept(cast, coordinator)
    assert standing_tasks(cast) == plain | {"flood-level@pit"}
    assert PlanRevision.objects.get(project=cast.project, number=2).catalogue_sha == last.body["catalogue"]

    answer = coordinator.post(page(cast), {"doing": "withdraw", "rules": "harbor-town"})
    assert answer.url == reverse("change", args=[cast.project.uid])
    accept(cast, coordinator)
    assert standing_tasks(cast) == plain
    rows = RuleSheet.objects.filter(project=cast.project).order_by("seq").values_list("seq", "state")
    assert list(rows) == [(1, "in force"), (2, "withdrawn")]


def test_the_page_says_what_the_rules_bring_and_what_they_rest_on(cast: Cast, coordinator: Any) -> None:
    coordinator.post(page(cast), file(TOWN))
    text = " ".join(coordinator.get(page(cast)).content.decode().split())
    assert "a task of its own: Show the pit floor against the flood level" in text
    assert "asks more of: " in text
    assert (
        "Harbor town code, additions to the building rules, chapter 9 (code value); confirm with the building department"
        in text
    )
    sent = coordinator.get(reverse("rules-file", args=[cast.project.uid, "harbor-town"]))
    assert (sent.content.decode(), sent["Content-Disposition"]) == (
        TOWN,
        'attachment; filename="harbor-town.toml"',
    )
    assert coordinator.get(reverse("rules-file", args=[cast.project.uid, "elsewhere"])).status_code == 404
    assert coordinator.get(reverse("rules-example", args=[cast.project.uid])).content.decode() == TOWN


def test_pressing_twice_is_one_decision(cast: Cast, coordinator: Any) -> None:
    before = Event.objects.count()
    for _ in range(2):
        assert coordinator.post(page(cast), file(TOWN)).status_code == 302
    assert (Event.objects.count(), RuleSheet.objects.count()) == (before + 1, 1)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('task = "room-light"', 'task = "room-lamp"', "harbor-town.toml, addition room-lamp, task: "),
        (
            'source = "harbor-flood"',
            'source = "hearsay"',
            "harbor-town.toml, finding harbor-groundwater, source: ",
        ),
        ("concede = []", "", "addition room-light requires switch-near-lock, concede: is missing"),
        ('after = ["layout-drawing"]', 'after = ["dig"]', "dig"),
        ("[[finding]]", "[[findings]]", "findings: is not a kind of entry"),
        ("[[task]]", "[[task", "file, TOML: "),
    ],
)
def test_wrong_rules_are_refused_by_file_entry_and_key(
    cast: Cast, coordinator: Any, old: str, new: str, told: str
) -> None:
    assert old in TOWN
    before = Event.objects.count()
    answer = coordinator.post(page(cast), file(TOWN.replace(old, new)))
    assert answer.status_code == 422
    assert told in answer.content.decode()
    assert (Event.objects.count(), RuleSheet.objects.count(), open_change(cast.project)) == (before, 0, None)


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({"doing": "lay"}, "This field is required"),
        ({"doing": "lay", "file": SimpleUploadedFile("photo.toml", b"\xff\xd8\xff")}, "not a text file"),
        ({"doing": "lay", "file": SimpleUploadedFile("---.toml", b"[x]")}, "cannot be the name of rules"),
    ],
)
def test_what_is_no_file_of_rules_is_refused(
    cast: Cast, coordinator: Any, sent: dict[str, Any], told: str
) -> None:
    answer = coordinator.post(page(cast), sent)
    assert answer.status_code == 422
    assert told in answer.content.decode()
    assert RuleSheet.objects.count() == 0


def test_facts_are_planned_with_the_rules_in_force(cast: Cast, coordinator: Any) -> None:
    coordinator.post(page(cast), file(TOWN))
    accept(cast, coordinator)
    framed = FactInput(typed="framed floor", said_by="GC", source="call")
    enter_facts(cast.project, cast.visitor("coordinator"), AT, {"pit.ground": framed})
    view = open_change(cast.project)
    assert view is not None
    assert "flood-level@pit" in view.summary["dropped"]


def test_a_companys_rules_are_taken_from_its_other_site(
    cast: Cast, coordinator: Any, other_cast: Cast, signed_in: Any
) -> None:
    second = sister_site(cast)
    coordinator.post(page(cast), file(COMPANY, "lantern-lifts.toml"))
    there = reverse("rules", args=[second.uid])
    shown = coordinator.get(there)
    [offer] = shown.context["elsewhere"]
    assert (offer.name, offer.site, offer.differs) == ("lantern-lifts", cast.project.name, False)
    assert coordinator.post(there, {"doing": "take over", "rules": offer.sha256}).status_code == 302
    assert RuleSheet.objects.get(project=second).text == COMPANY
    assert coordinator.get(there).context["elsewhere"] == []
    assert coordinator.post(there, {"doing": "take over", "rules": "0" * 64}).status_code == 404

    stranger = page(other_cast)
    client = signed_in("coordinator")
    assert client.get(stranger).status_code == 404
    client.force_login(other_cast.people["coordinator"])
    assert client.get(stranger).context["elsewhere"] == []
    assert client.post(stranger, {"doing": "take over", "rules": offer.sha256}).status_code == 404


def sister_site(cast: Cast) -> Project:
    return open_project(
        cast.supplier,
        cast.people["coordinator"],
        cast.companies["supplier"],
        name="Second site",
        at=AT,
        zone="America/New_York",
    )


@pytest.mark.parametrize(("name", "may_read"), [("contractor", True), ("framer", False), ("left", False)])
def test_only_the_coordinator_lays_rules_down(cast: Cast, signed_in: Any, name: str, may_read: bool) -> None:
    client = signed_in(name)
    assert client.get(page(cast)).status_code == (200 if may_read else 404)
    assert client.post(page(cast), file(TOWN)).status_code in {403, 404}
    assert RuleSheet.objects.count() == 0
    if may_read:
        assert b"Lay them down" not in client.get(page(cast)).content


def test_a_trade_of_the_towns_own_can_be_given_to_a_company(cast: Cast, coordinator: Any) -> None:
    own = (
        TOWN.replace('trade = "general contractor"', 'trade = "divers"')
        + """
[[trade]]
key = "divers"
role = "subcontractor"
text = {en = "divers"}
"""
    )
    coordinator.post(page(cast), file(own))
    accept(cast, coordinator)
    told = {"doing": "assign", "trade": "divers", "company": str(cast.companies["framer"].uid)}
    assert coordinator.post(reverse("companies", args=[cast.project.uid]), told).status_code == 302
    assert Assignment.objects.get(project=cast.project, trade="divers").company == cast.companies["framer"]


def test_it_costs_the_same_however_many_rules(
    cast: Cast, coordinator: Any, django_assert_num_queries: Any
) -> None:
    coordinator.post(page(cast), file(TOWN))
    with django_assert_num_queries(QUERIES):
        coordinator.get(page(cast))
    coordinator.post(page(cast), file(COMPANY, "lantern-lifts.toml"))
    more = COMPANY.replace("[source.lantern]", "[source.third]").replace('"lantern"', '"third"')
    coordinator.post(page(cast), file(more[: more.index("# This company stores")], "third.toml"))
    with django_assert_num_queries(QUERIES):
        coordinator.get(page(cast))
