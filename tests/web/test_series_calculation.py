"""From a series to its calculation: inputs filled in, the result kept beside the task with its source; no gate moves."""

from typing import Any

import pytest
from django.urls import reverse

from coordination.evidence.models import Design
from coordination.gates.queries import look_at
from tests.gates.series_sites import SURVEY, WARMTH, WHOLE, measured
from tests.gates.sites import BACKING, Site
from tests.web.pressing import forms_on, send
from tests.web.worked_site import NOW, browse, page, words

__all__ = ["browse"]
WARM = "2026-03-02 07:00\t60 F\t59 F\n2026-03-03 07:00\t55 F\t57 F"


@pytest.fixture
def site(db: Any, monkeypatch: pytest.MonkeyPatch) -> Site:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    return measured()


def at(site: Site, row: Any) -> str:
    return reverse("series-calculation", args=[site.project.uid, row.uid])


def test_one_press_calculates_and_one_more_keeps_it_beside_the_task(site: Site, browse: Any) -> None:
    row = site.read(WARMTH, "framer", WARM)
    client = browse("coordinator")
    sheet = client.get(page(site, "task", site.task(BACKING.key).uid))
    assert at(site, row) in sheet.content.decode()
    shown = client.get(at(site, row))
    assert shown.status_code == 200
    assert "Nurse-Saul" in words(shown)
    before = [(task.state, task.may_offer) for task in look_at(site.project, NOW).assessment.tasks.values()]
    form = next(form for form in forms_on(shown) if "given" in form.fields)
    for _twice in range(2):
        send(client, form)
    kept = Design.objects.get()
    assert (kept.task.key, kept.calculation) == (BACKING.key, "concrete")
    assert kept.source == "Readings of Mon 2 Mar, Bo Tran, read with tape"
    assert '"temperature": "13.8889 C"' in kept.given
    after = [(task.state, task.may_offer) for task in look_at(site.project, NOW).assessment.tasks.values()]
    assert after == before


def test_other_inputs_can_be_tried_first(site: Site, browse: Any) -> None:
    row = site.read(WARMTH, "framer", WARM)
    client = browse("coordinator")
    shown = client.get(at(site, row))
    form = next(form for form in forms_on(shown) if "history:rows" in form.fields)
    told = {name: value[0] for name, value in form.fields.items()}
    assert told["history.0.hours"] == "24 h"
    again = client.post(at(site, row), {**told, "needed_fraction": "50 %"})
    assert (again.status_code, Design.objects.count()) == (200, 0)
    assert "50" in words(again)


def test_too_few_readings_are_said(site: Site, browse: Any) -> None:
    row = site.read(WARMTH, "framer", "2026-03-02 07:00\t60 F\t59 F")
    answer = browse("coordinator").get(at(site, row))
    assert answer.status_code == 422
    assert "Two readings at different hours are needed." in words(answer)


def test_a_series_that_feeds_nothing_and_strangers_get_nothing(site: Site, browse: Any) -> None:
    survey, warmth = site.read(SURVEY, "framer", WHOLE), site.read(WARMTH, "framer", WARM)
    assert browse("coordinator").get(at(site, survey)).status_code == 404
    for name in ("framer", "electrician", "owner", "stranger"):
        assert browse(name).get(at(site, warmth)).status_code in {403, 404}
