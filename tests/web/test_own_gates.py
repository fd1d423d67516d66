"""A gate of a project's own at the screens: wished, seen in the dates first, kept, taken back; and what-if on a gate."""

from typing import Any

import pytest
from django.urls import reverse

from coordination.gates.queries import look_at
from coordination.projects.models import Gate
from coordination.record.models import Event
from tests.gates.sites import BACKING, BOARD, RAILS, SWEEP, Site
from tests.web.sites import text_of

WISH = {
    "name": "Owner sees the mirror",
    "before": [BOARD.key],
    "accepted": [SWEEP.key],
    "satisfied": ["backing@rail-wall#spread"],
    "signers": ["owner"],
    "clears": "coordinator",
}


def form_of(site: Site) -> str:
    return reverse("own-gate", args=[site.project.uid])


def page(site: Site, key: str = "close-in", *met: str) -> str:
    asked = "?" + "&".join(f"met={each}" for each in met) if met else ""
    return reverse("gate", args=[site.project.uid, site.gate(key).task.uid]) + asked.replace("#", "%23")


def own(site: Site) -> Gate:
    return Gate.objects.get(task__project=site.project, task__own=True)


def test_its_effect_on_the_dates_is_shown_before_anything_is_kept(site: Site, seen_by: Any) -> None:
    client, before = seen_by("contractor"), Event.objects.count()
    answer = client.post(form_of(site), WISH)
    assert (answer.status_code, Event.objects.count()) == (200, before)
    assert (
        "New gate “Owner sees the mirror”: it waits for 2 things, 1 pieces of work wait behind it."
        in text_of(answer)
    )
    assert [line.name for line in answer.context["moves"]][:1] != []
    assert "Owner sees the mirror" in [line.name for line in answer.context["moves"]]
    kept = client.post(form_of(site), {**WISH, "confirmed": "yes"})
    assert kept.url == page(site, own(site).key)
    shown = client.get(kept.url)
    assert "A gate of this project’s own" in text_of(shown)
    listed = client.get(reverse("gates", args=[site.project.uid])).context["lines"]
    assert [line.name for line in listed] == ["close-in", "Owner sees the mirror", "handover"]


def test_what_is_wrong_is_said_and_what_was_ticked_stays(site: Site, seen_by: Any) -> None:
    answer = seen_by("coordinator").post(form_of(site), {**WISH, "name": "", "before": []})
    assert answer.status_code == 422
    told = text_of(answer)
    assert "Give the gate a name." in told
    assert "Say which work must wait behind the gate." in told
    round_about = {**WISH, "before": [BACKING.key]}
    assert "it would wait for itself" in text_of(seen_by("coordinator").post(form_of(site), round_about))


@pytest.mark.parametrize("name", ["crew", "framer", "owner", "left", "stranger", "by link: framer"])
def test_nobody_else_has_the_page(site: Site, seen_by: Any, name: str) -> None:
    assert seen_by(name).get(form_of(site)).status_code == 404
    assert seen_by(name).post(form_of(site), {**WISH, "confirmed": "yes"}).status_code == 404


def test_it_is_taken_back_with_a_reason(site: Site, seen_by: Any) -> None:
    client = seen_by("contractor")
    client.post(form_of(site), {**WISH, "confirmed": "yes"})
    address = reverse("gate-doing", args=[site.project.uid, own(site).task.uid, "take-back"])
    assert client.post(address, {"reason": " "}).status_code == 422
    assert client.post(address, {"reason": "the owner came already"}).url == reverse(
        "gates", args=[site.project.uid]
    )
    assert own(site).key not in look_at(site.project, site.at).assessment.gates


def test_what_if_some_were_accepted_is_answered_and_nothing_is_stored(site: Site, seen_by: Any) -> None:
    client, before = seen_by("crew"), Event.objects.count()
    plain = client.get(page(site))
    assert [line.words for line in plain.context["supposing"].conditions] == [
        "Question answered: Sump or drain required",
        "Electrical inspection (rough): the authority's own document is there",
        "“backing” accepted, Rail wall",
        "Signed: general contractor",
        "Signed: elevator crew",
    ]
    ticked = ["task accepted|backing@rail-wall", "question answered|pit.sump", "no such|thing"]
    answer = client.get(page(site, "close-in", *ticked))
    found = answer.context["supposing"]
    assert (found.number, found.work) == (3, ("Rails, Low Rise Lift Supply",))
    assert "Then 3 things would still hold this gate" in text_of(answer)
    assert Event.objects.count() == before


def test_what_if_everything_were_so_says_what_could_begin_behind_the_gate(site: Site, seen_by: Any) -> None:
    every = [line.value for line in seen_by("crew").get(page(site)).context["supposing"].conditions]
    found = seen_by("crew").get(page(site, "close-in", *every)).context["supposing"]
    assert (found.number, found.behind, found.gates) == (0, ("Board, Cold Spring Electric",), ())
    assert RAILS.key in {task.key for task in look_at(site.project, site.at).standing.tasks}


def test_the_list_says_what_a_gate_is_held_by(site: Site, seen_by: Any) -> None:
    site.start(BACKING.key, "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.review("backing@rail-wall#left", "contractor", "refused", "too dark")
    [line, _last] = seen_by("contractor").get(reverse("gates", args=[site.project.uid])).context["lines"]
    assert "held by: " in line.note
