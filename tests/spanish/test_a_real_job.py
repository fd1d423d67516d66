"""A job planned from real facts with the whole catalogue, read in Spanish by every company that works on it."""

import re
import tomllib
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.urls import reverse

from coordination.console.demo.cast import Troupe, assemble, open_for
from coordination.console.demo.hands import Hands
from coordination.console.demo.playing import Player
from coordination.console.demo.story import Refusal, Story
from coordination.gates.actions import accept_change
from coordination.projects.actions import FactInput, enter_facts
from coordination.projects.job_file import read_job
from coordination.projects.models import Requirement, Task
from tests.spanish.said import is_spanish, left_in_english

JOB = Path(__file__).resolve().parents[2] / "fixtures" / "facts" / "candle-works.toml"
READERS = ("Zephyr Ditch Concrete", "Quibble Framing", "Umber Fox Electric", "Thistledown Drywall")
FIRST = date(2026, 1, 5)
TOLD = "Single blocks at guessed heights."
STORY = Story(refusals=(Refusal("form-pit@pit#form-view", (TOLD,)),), answers=(), lettings=(), permits={})


@pytest.fixture
def troupe(db: Any, monkeypatch: pytest.MonkeyPatch) -> Troupe:
    """The job some weeks under way."""
    job = read_job(JOB)
    at = datetime.combine(FIRST, time(6), ZoneInfo("America/New_York"))
    clock = [at]
    monkeypatch.setattr("django.utils.timezone.now", lambda: clock[0])
    troupe = Troupe(assemble(at), open_for(assemble(at), job, at), at)
    entries = {**job.entries, "calendar.start": FactInput(typed=FIRST.isoformat())}
    coordinator = troupe.as_role("coordinator", at)
    change = enter_facts(troupe.project, coordinator, at, entries, authorities=job.authorities)
    accept_change(troupe.project, coordinator, at, change.uid)
    player = Player(troupe, STORY, lambda done, of: None, Hands(troupe.project))
    player.play(FIRST, FIRST + timedelta(days=12))
    clock[0] = player.now
    return troupe


def data_of(troupe: Troupe) -> set[str]:
    """What the job's people have typed, names of people, firms, places and models."""
    content, project = troupe.cast.content, troupe.project
    known = {content["supplier"]["name"], project.name, project.place, TOLD, *content["company"]}
    for entry in [*content["company"].values(), *content["person"].values()]:
        known |= {str(entry.get(key, "")) for key in ("name", "contact", "phone", "email")}
    for path in (JOB, *(JOB.parents[1] / "models").glob("*.toml")):
        known |= set(strings_in(tomllib.loads(path.read_text(encoding="utf-8"))))
    return {text for text in known if len(text) > 2}


def strings_in(node: Any) -> Iterator[str]:
    if isinstance(node, str):
        yield node
    for each in node.values() if isinstance(node, dict) else node if isinstance(node, list) else ():
        yield from strings_in(each)


def read_by(troupe: Troupe, company: str) -> Iterator[tuple[str, Any]]:
    """Every page of one company, come in by its link, with its address."""
    client = Client()
    client.cookies["django_language"] = "es"
    link = reverse("link", args=[troupe.tokens[company]])
    yield link, client.get(link)
    client.post(link)
    uid = troupe.project.uid
    names = ("my-tasks", "trade-sheets", "look-ahead")
    pages = [reverse(name, args=[uid]) for name in names] + [reverse("phone"), reverse("help"), "/nowhere"]
    first = client.get(pages[0]).content.decode()
    pages += sorted(set(re.findall(r'href="(/my/[^"#?]+/tasks/[^"#?]+)"', first)))[:3]
    listed = client.get(pages[1]).content.decode()
    pages += sorted(set(re.findall(r'href="([^"#?.]+/trade-sheets/[^"#?.]+)"', listed)))[:2]
    for page in pages:
        yield page, client.get(page)
    asked = Requirement.objects.filter(task__project=troupe.project, task__trade__in=_trades(troupe, company))
    for need in asked.filter(task__begun_on__isnull=False).order_by("kind", "pk").distinct()[:3]:
        doing = reverse("requirement-doing", args=[uid, need.uid, "hand-in"])
        yield doing, client.post(doing, {"typed": "wide", "submission": ""})
    for task in Task.objects.filter(project=troupe.project, trade__in=_trades(troupe, company))[:2]:
        for doing in ("begin", "offer"):
            address = reverse("task-doing", args=[uid, task.uid, doing])
            yield address, client.post(address)


def _trades(troupe: Troupe, company: str) -> list[str]:
    trades: list[str] = troupe.cast.content["company"][company]["trades"]
    return trades


def test_every_company_reads_its_job_in_spanish(troupe: Troupe) -> None:
    data, wrong, read, refused = data_of(troupe), {}, 0, 0
    for company in READERS:
        for address, answer in read_by(troupe, company):
            if answer.status_code in {302, 405}:
                continue
            read += answer.status_code == 200
            refused += answer.status_code == 422
            for text in left_in_english(answer.content.decode(), data):
                wrong.setdefault(text, f"{company} {address} {answer.status_code}")
    assert [f"{text}  <- {where}" for text, where in wrong.items()] == []
    assert (read > 30, refused > 3) == (True, True)


@pytest.mark.parametrize(
    "text",
    [
        "Passed on. The answer is awaited.",
        "planned from Mon 5 Jan to Fri 9 Jan",
        "Pit",
        "foto, handed in",
        "se espera para el Mon 5 Jan",
        "6 tasks behind you",
    ],
)
def test_english_is_noticed(text: str) -> None:
    """The seeded fault: sentences, words, and English put into Spanish."""
    assert not is_spanish(text)
    assert left_in_english(f"<main><p>{text}</p></main>", ()) == [text]


@pytest.mark.parametrize(
    "text",
    [
        "Pasado. Se espera la respuesta.",
        "planeado del lun 5 ene al vie 9 ene",
        "Fosa",
        "foto, presentado",
        "6 tareas ya hechas",
        "2' 6\"",
        "por lo menos 2' 6\"",
        "Nadie trabaja encima de otras personas en el cubo. Herramientas amarradas; un nivel a la vez.",
        "Por qué estos días: después de “Colgar y alinear la puerta de piso” y 1 día hábil.",
    ],
)
def test_spanish_is_known(text: str) -> None:
    assert is_spanish(text)
