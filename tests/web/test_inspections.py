"""The result of an inspection at the screens: report, items, rounds."""

import io
import uuid
from dataclasses import replace
from typing import Any

import pytest
from django.urls import reverse

from coordination.gates.models import Inspection
from coordination.projects.models import Task
from tests.gates.sites import Site, build, picture
from tests.gates.test_inspecting import JOB_INSPECTED, begun
from tests.web.sites import browser, text_of


@pytest.fixture
def site(db: Any, now: Any) -> Site:
    return build(derived=replace(JOB_INSPECTED))


@pytest.fixture
def seen_by(site: Site) -> Any:
    return browser(site)


def page(site: Site) -> str:
    return reverse("inspection", args=[site.project.uid, site.need("rough@pit#inspection").uid])


def sent(result: str, *items: tuple[str, str, str], **more: Any) -> dict[str, Any]:
    paper = io.BytesIO(picture(7))
    paper.name = "report.jpg"
    told = {
        "key": str(uuid.uuid4()),
        "result": result,
        "number": "E-90",
        "dated": "2026-03-04",
        "document": paper,
    }
    for number in range(1, max(4, len(items)) + 1):
        text, place, trade = items[number - 1] if number <= len(items) else ("", "", "")
        told |= {f"item-{number}-text": text, f"item-{number}-place": place, f"item-{number}-trade": trade}
    return {**told, **more}


def test_a_failed_report_brings_work_and_the_page_shows_each_round(site: Site, seen_by: Any) -> None:
    begun(site)
    client = seen_by("contractor")
    assert client.post(page(site), sent("failed", ("Box loose", "pit", "electrical"))).url == page(site)
    shown = client.get(page(site))
    told = text_of(shown)
    assert "Round 1" in told
    assert "report E-90" in told
    [item] = shown.context["line"].rounds[0].items
    assert (item.name, item.state, item.note) == ("Box loose", "ready", "Pit, Juniper Electric")
    listed = client.get(reverse("authorities", args=[site.project.uid]))
    assert [line.state for line in listed.context["inspections"]] == ["failed"]
    gate = reverse("gate", args=[site.project.uid, site.gate("close-in").task.uid])
    assert "Electrical inspection not passed today" in " ".join(text_of(client.get(gate)).split())


def test_what_is_missing_is_said_and_nothing_is_kept(site: Site, seen_by: Any) -> None:
    begun(site)
    client = seen_by("coordinator")
    assert client.post(page(site), {}).status_code == 422
    answer = client.post(page(site), sent("failed"))
    assert (answer.status_code, Inspection.objects.count()) == (422, 0)
    assert "Name each thing that was not passed" in text_of(answer)
    assert not Task.objects.filter(own=True).exists()


@pytest.mark.parametrize("name", ["crew", "electrician", "owner", "left", "stranger", "by link: inspector"])
def test_nobody_else_has_the_page(site: Site, seen_by: Any, name: str) -> None:
    begun(site)
    assert seen_by(name).get(page(site)).status_code == 404
    assert seen_by(name).post(page(site), sent("passed")).status_code == 404


def test_the_task_leads_there_instead_of_taking_a_paper_without_a_result(site: Site, seen_by: Any) -> None:
    begun(site)
    task = reverse("task", args=[site.project.uid, site.task("rough@pit").uid])
    assert page(site) in seen_by("contractor").get(task).content.decode()


# ---- as many items as the report has
def test_more_rows_are_asked_for_without_script_and_nothing_typed_is_lost(site: Site, seen_by: Any) -> None:
    begun(site)
    client = seen_by("contractor")
    typed = sent("failed", ("Box loose", "pit", "electrical"), more="4", again_on="2026-03-20")
    answer = client.post(page(site), typed)
    assert (answer.status_code, Inspection.objects.count()) == (200, 0)
    form, items = answer.context["form"], answer.context["items"]
    assert [form[name].value() for name in ("key", "result", "number", "dated", "again_on")] == [
        *(typed[name] for name in ("key", "result", "number", "dated")),
        "2026-03-20",
    ]
    assert [items[0][name].value() for name in ("text", "place", "trade")] == [
        "Box loose",
        "pit",
        "electrical",
    ]
    assert (len(items), "choose the written report again" in text_of(answer)) == (8, True)
    assert 'tabindex="-1" data-take-focus' not in answer.content.decode()


def test_forty_items_are_entered_from_one_report(site: Site, seen_by: Any) -> None:
    begun(site)
    client = seen_by("contractor")
    items = [(f"Item {number}", "pit", "electrical") for number in range(1, 41)]
    assert client.post(page(site), sent("failed", *items)).status_code == 302
    [found] = client.get(page(site)).context["line"].rounds
    assert [item.name for item in found.items] == [name for name, _place, _trade in items]


def test_a_row_without_words_is_asked_about_and_the_others_stay(site: Site, seen_by: Any) -> None:
    begun(site)
    items = [(f"Item {number}", "pit", "electrical") for number in range(1, 6)]
    answer = seen_by("contractor").post(page(site), sent("failed", *items, ("", "pit", "")))
    assert (answer.status_code, Inspection.objects.count()) == (422, 0)
    typed = [item["text"].value() for item in answer.context["items"]]
    assert typed == [*(name for name, *_rest in items), ""]
    assert "Say what was not passed, or empty the whole row." in text_of(answer)
