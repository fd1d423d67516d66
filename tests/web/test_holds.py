"""Concessions, witness points and remarks taken up, at the screens."""

import io
from dataclasses import replace
from typing import Any

import pytest
from django.urls import reverse
from pypdf import PdfReader

from coordination.gates.models import Attendance, WitnessNotice
from coordination.handover.actions import leave_remark
from coordination.handover.models import RemarkTaken
from coordination.projects.models import Task
from coordination.record.models import Event
from coordination.web.texts import on_day
from tests.gates.sites import BACKING, JOB, Site, build
from tests.gates.test_witnessing import WITNESSED
from tests.projects.small_plans import with_task, without_task
from tests.web.sites import browser, text_of

SPREAD = "backing@rail-wall#spread"


@pytest.fixture
def site(db: Any, now: Any) -> Site:
    site = build(derived=replace(WITNESSED))
    site.at = now
    return site


@pytest.fixture
def seen_by(site: Site) -> Any:
    return browser(site)


def at(site: Site, name: str, *more: Any) -> str:
    return reverse(name, args=[site.project.uid, *more])


def test_what_was_let_go_is_told_with_what_does_not_conform_and_who_has_not_spoken(
    site: Site, seen_by: Any
) -> None:
    site.start(BACKING.key, "framer")
    site.read(SPREAD, "framer", '32"')
    site.concede(SPREAD, "coordinator", quantity="two brackets")
    answer = seen_by("crew").get(at(site, "concessions"))
    [line] = answer.context["lines"]
    told = (line.kind, line.state, line.limit, [(voice.role, voice.name) for voice in line.voices])
    assert told == (
        "Concession",
        "asked for",
        "two brackets",
        [("coordinator", "Ida Marsh"), ("general contractor", "")],
    )
    assert line.found == "2' 8\", out of tolerance"
    assert "only the document of" in text_of(answer)
    site.concede(SPREAD, "contractor", scope="")
    assert [one.state for one in seen_by("crew").get(at(site, "concessions")).context["lines"]] == ["stands"]


def test_what_was_let_go_stays_on_the_page_when_the_plan_asks_for_it_no_more(
    site: Site, seen_by: Any
) -> None:
    site.start(BACKING.key, "framer")
    site.read(SPREAD, "framer", '32"')
    for role in ("coordinator", "contractor"):
        site.concede(SPREAD, role)
    without = replace(BACKING, requirements=BACKING.requirements[:1])
    site.accept(with_task(without_task(JOB, BACKING.key), without))
    answer = seen_by("crew").get(at(site, "concessions"))
    [line] = answer.context["lines"]
    assert (line.what, line.state, line.found, line.href) == (
        "Spread",
        "ended",
        "2' 8\", out of tolerance",
        "",
    )
    assert [voice.name for voice in line.voices] == ["Ida Marsh", "Ana Ruiz"]
    assert "backing: the plan does not ask for it any more" in text_of(answer)


def test_a_witness_is_told_comes_and_is_shown_where_the_work_is(site: Site, seen_by: Any) -> None:
    page, task = at(site, "witness"), site.task(BACKING.key).uid
    client = seen_by("by link: framer")
    [(line, _tell, came)] = client.get(page).context["lines"]
    assert (line.party, line.state, line.may_tell, came) == ("Engineer of record", "none", True, None)
    told = {"doing": "tell", "anchor": line.anchor, "task": str(task), "point": line.key}
    assert client.post(page, told).status_code == 422
    day = site.at.date()
    assert "Engineer of record may attend; no notice given yet" in text_of(
        client.get(at(site, "my-task", task))
    )
    assert client.post(page, {**told, "for_day": day.isoformat(), "how": "telephone"}).url == page
    given = f"Engineer of record may attend; notice given for {on_day(day)}; work goes on."
    assert given in text_of(client.get(at(site, "my-task", task)))
    paper = client.get(at(site, "look-ahead-all-pdf"))
    pages = PdfReader(io.BytesIO(paper.content)).pages
    assert given in " ".join(" ".join(page.extract_text() for page in pages).split())
    notice = WitnessNotice.objects.get()
    sent = {"doing": "came", "anchor": line.anchor, "notice": str(notice.uid), "attended": "yes", "who": ""}
    assert client.post(page, sent).status_code == 422
    assert client.post(page, {**sent, "who": "P. Quill"}).url == page
    assert Attendance.objects.get().who == "P. Quill"
    for address in (at(site, "task", task), at(site, "gate", site.gate("close-in").task.uid)):
        assert "P. Quill" in text_of(seen_by("contractor").get(address))
    assert "Engineer of record attended on" in text_of(seen_by("contractor").get(at(site, "look-ahead")))


def test_a_point_of_the_projects_own_is_added_and_taken_back(site: Site, seen_by: Any) -> None:
    page, client = at(site, "witness"), seen_by("contractor")
    wish = {
        "doing": "add",
        "task": str(site.task("sweep@pit").uid),
        "party": "owner",
        "text": "Mirror",
        "notice_days": "1",
    }
    assert client.post(page, wish).url == page
    own = next(line for line, *_ in client.get(page).context["lines"] if line.own_uid)
    assert (own.text, own.party) == ("Mirror", "Owner")
    assert client.post(page, {"doing": "take-back", "own": str(own.own_uid)}).url == page
    assert [line.own_uid for line, *_ in client.get(page).context["lines"]] == [None]
    assert seen_by("framer").post(page, wish).status_code in {403, 404, 422}


@pytest.mark.parametrize("name", ["owner", "left", "stranger", "by link: expired", "by link: inspector"])
def test_who_has_no_work_here_sees_neither(site: Site, seen_by: Any, name: str) -> None:
    for page in ("witness", "concessions"):
        assert seen_by(name).get(at(site, page)).status_code == 404


def test_another_trade_sees_no_witness_point_of_the_framers(site: Site, seen_by: Any) -> None:
    assert seen_by("electrician").get(at(site, "witness")).context["lines"] == []


def test_a_remark_is_taken_up_as_work_and_moves_no_gate(site: Site, seen_by: Any) -> None:
    site.signed()
    clearing = site.clear("close-in")
    told = {"clearing_uid": clearing.uid, "name": "R. Vale", "body": "Cover plate missing"}
    remark = leave_remark(site.project, site.cast.by_link("inspector", site.at), site.step(), **told)
    page = at(site, "remark-take-up", remark.uid)
    for name in ("contractor", "framer", "by link: inspector"):
        assert seen_by(name).get(page).status_code == 404
    client, before = seen_by("coordinator"), Event.objects.count()
    assert client.get(page).context["form"]["text"].value() == "Cover plate missing"
    for _turn in range(2):
        answer = client.post(page, {"text": "Put the cover on", "place": "pit", "trade": "electrical"})
        assert answer.url == at(site, "task", Task.objects.get(own=True).uid)
    clearing.refresh_from_db()
    assert (clearing.reopened_at, RemarkTaken.objects.count(), Event.objects.count() - before) == (None, 1, 1)


def test_work_of_ones_own_is_shown_in_the_dates_first_and_then_stands(site: Site, seen_by: Any) -> None:
    client, page = seen_by("contractor"), at(site, "own-work")
    wish = {"name": "Second half", "place": "pit", "trade": "framing", "days": "2", "after": ["sweep@pit"]}
    assert client.post(page, {"name": ""}).status_code == 422
    assert "New work: Second half, framing" in text_of(client.post(page, wish))
    assert not Task.objects.filter(own=True).exists()
    answer = client.post(page, {**wish, "confirmed": "yes"})
    assert answer.url == at(site, "task", Task.objects.get(own=True).uid)
    assert seen_by("framer").get(page).status_code == 404
