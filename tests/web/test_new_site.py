"""Setting up a site at the screens: by hand, with a data sheet, from a job file; whole or not at all."""

import uuid
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from coordination.access.models import Project
from coordination.projects.models import FactEntry, PlanChange
from coordination.projects.queries import standing_facts
from coordination.record.models import Event
from tests.standing_cast import Cast

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
PAGE = "/sites/new"


def hand(**altered: Any) -> dict[str, Any]:
    told = {"doing": "hand", "uid": str(uuid.uuid4()), "name": "Otter Bend", "place": "4 Bend Road"}
    return {**told, "zone": "America/New_York", "code_set": "us", "model": "", **altered}


def toml(text: str | bytes, name: str = "job.toml") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, text.encode() if isinstance(text, str) else text)


def job(**altered: Any) -> dict[str, Any]:
    text = (FIXTURES / "facts" / "candle-works.toml").read_text()
    return {"doing": "file", "uid": str(uuid.uuid4()), "job": toml(text), **altered}


def made() -> Project:
    return Project.objects.latest("pk")


def test_a_site_by_hand_leads_to_its_facts(cast: Cast, signed_in: Any) -> None:
    answer = signed_in("coordinator").post(PAGE, hand())
    assert answer.headers["Location"] == reverse("facts", args=[made().uid])
    facts = standing_facts(made())
    assert (made().name, made().place, made().zone, made().code_set) == (
        "Otter Bend",
        "4 Bend Road",
        "America/New_York",
        "us",
    )
    assert (facts.value("job.name"), facts.value("pit.depth")) == ("Otter Bend", None)


def test_pressing_twice_sets_up_one_site(cast: Cast, signed_in: Any) -> None:
    client, sent = signed_in("coordinator"), hand(model="ferry-45.toml")
    assert [client.post(PAGE, sent).status_code for _ in range(2)] == [302, 302]
    assert Project.objects.filter(name="Otter Bend").count() == 1
    assert (
        FactEntry.objects.filter(project=made()).values("key").distinct().count() == FactEntry.objects.count()
    )


def test_the_figures_of_the_chosen_sheet_become_facts_that_name_it(cast: Cast, signed_in: Any) -> None:
    signed_in("coordinator").post(PAGE, hand(model="ferry-45.toml"))
    fact = standing_facts(made())["lift.pit_least"]
    assert (fact.state, fact.typed) == ("known", '14"')
    assert fact.source == "model data sheet Ferry 45, planning sheet FY-45-LU, revision C"


def test_a_sheet_of_ones_own_is_read(cast: Cast, signed_in: Any) -> None:
    text = (FIXTURES / "models" / "ferry-45.toml").read_text().replace("Ferry 45", "Ferry 46")
    signed_in("coordinator").post(PAGE, hand(sheet=toml(text)))
    assert "Ferry 46" in standing_facts(made())["lift.pit_least"].source


def test_a_whole_job_is_set_up_from_its_file(cast: Cast, signed_in: Any) -> None:
    assert signed_in("coordinator").post(PAGE, job()).status_code == 302
    facts = standing_facts(made())
    assert made().name == "Quince Lane candle works, drying loft"
    assert (facts["pit.depth"].typed, facts["lift.pit_least"].typed, facts["pit.sump"].state) == (
        '14"',
        '14"',
        "unknown",
    )
    assert PlanChange.objects.get(project=made()).state == "open"


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        (hand(name=" "), "This field is required."),
        (hand(zone="Mars/North"), "Mars/North is not a time zone; write one such as America/New_York."),
        (hand(code_set="iso"), "Select a valid choice."),
        (hand(model="../facts/candle-works.toml"), "Select a valid choice."),
        (hand(uid="x"), "Enter a valid UUID."),
        (hand(sheet=toml("[sheet", "s.toml")), "This is not TOML"),
        (hand(sheet=toml(b"\xff\xfe", "s.toml")), "s.toml is not a text file in UTF-8."),
        (hand(sheet=toml("#" * 200_001, "s.toml")), "s.toml is too large"),
        (
            hand(
                sheet=toml('[sheet]\nmodel="A"\ndocument="B"\nrevision="C"\n[lift]\npit_least=14', "s.toml")
            ),
            "lift.pit_least",
        ),
        (job(job=toml("not = [toml")), "write the file as TOML"),
        (job(job=toml('[pit]\ndepht = "14 in"')), "did you mean pit.depth?"),
        (job(job=toml('[pit]\ndepth = "14 apples"')), "pit.depth"),
        (job(job=toml('model_sheet = "/etc/hostname"\n[job]\nname = "A"')), "name the data sheet alone"),
        (
            job(job=toml('model_sheet = "../../../../etc/hostname"\n[job]\nname = "A"')),
            "name the data sheet alone",
        ),
        (job(job=toml('model_sheet = "none.toml"\n[job]\nname = "A"')), "there is no file none.toml"),
        (job(job=""), "This field is required."),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_set_up(
    cast: Cast, signed_in: Any, sent: dict[str, Any], said: str
) -> None:
    for file in (each for each in sent.values() if isinstance(each, SimpleUploadedFile)):
        file.seek(0)
    before = (Project.objects.count(), Event.objects.count())
    answer = signed_in("coordinator").post(PAGE, sent)
    assert (answer.status_code, Project.objects.count(), Event.objects.count()) == (422, *before)
    assert said in answer.content.decode().replace("&#x27;", "'").replace("&quot;", '"')


def test_what_was_typed_stays_when_something_is_wrong(cast: Cast, signed_in: Any) -> None:
    sent = hand(zone="nowhere")
    text = signed_in("coordinator").post(PAGE, sent).content.decode()
    assert [
        f'value="{value}"' in text for value in (sent["name"], sent["place"], "nowhere", sent["uid"])
    ] == [True] * 4


def test_facts_that_cannot_be_together_leave_no_site_behind(cast: Cast, signed_in: Any) -> None:
    sheet = '[sheet]\nmodel="A"\ndocument="B"\nrevision="C"\n[lift]\nroom_temperature_low = "90 F"\nroom_temperature_high = "60 F"'
    before = Project.objects.count()
    answer = signed_in("coordinator").post(PAGE, hand(sheet=toml(sheet)))
    assert (answer.status_code, Project.objects.count()) in {(422, before), (302, before + 1)}


@pytest.mark.parametrize("name", ["contractor", "crew", "framer", "left", "owner", "stranger"])
def test_only_coordinators_set_up_sites(cast: Cast, signed_in: Any, name: str) -> None:
    client = signed_in(name)
    assert [client.get(PAGE).status_code, client.post(PAGE, hand()).status_code] == [404, 404]


def test_strangers_sign_in_first(db: Any) -> None:
    assert Client().get(PAGE).headers["Location"] == "/sign-in?next=/sites/new"


def test_nobody_takes_over_a_site_of_another_supplier(cast: Cast, other_cast: Cast, signed_in: Any) -> None:
    answer = signed_in("coordinator").post(PAGE, hand(uid=str(other_cast.project.uid)))
    assert (answer.status_code, FactEntry.objects.filter(project=other_cast.project).count()) == (404, 0)
