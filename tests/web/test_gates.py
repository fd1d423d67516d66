"""The gates at the screens: what is missing and who owes it, signing, clearing, rounds."""

from typing import Any

import pytest
from django.urls import reverse

from coordination.gates.models import Clearing, Signature
from coordination.record.models import Event
from tests.gates.sites import Site, build
from tests.standing_cast import NOBODYS
from tests.web.sites import paper, text_of

WHOLE_SITE = ["coordinator", "contractor", "crew"]
OTHERS = ["electrician", "other electrician", "framer", "left", "owner", "stranger"]


def uid(site: Site, key: str = "close-in") -> Any:
    return site.gate(key).task.uid


def page(site: Site, key: str = "close-in") -> str:
    return reverse("gate", args=[site.project.uid, uid(site, key)])


def doing(site: Site, verb: str, key: str = "close-in") -> str:
    return reverse("gate-doing", args=[site.project.uid, uid(site, key), verb])


@pytest.mark.parametrize("name", WHOLE_SITE)
def test_whoever_sees_the_site_sees_its_gates(site: Site, seen_by: Any, name: str) -> None:
    client = seen_by(name)
    assert client.get(reverse("gates", args=[site.project.uid])).status_code == 200
    assert client.get(page(site)).status_code == 200


@pytest.mark.parametrize("name", [*OTHERS, "by link: framer", "by link: owner", "by link: expired"])
def test_for_everybody_else_they_are_not_there(site: Site, seen_by: Any, name: str) -> None:
    client = seen_by(name)
    assert client.get(reverse("gates", args=[site.project.uid])).status_code == 404
    assert client.get(page(site)).status_code == 404


@pytest.mark.parametrize("verb", ["sign", "clear"])
@pytest.mark.parametrize("name", ["framer", "left", "stranger", "by link: expired", "by link: framer"])
def test_nor_can_they_do_anything_there(site: Site, seen_by: Any, name: str, verb: str) -> None:
    site.signed()
    before = Event.objects.count()
    answer = seen_by(name).post(doing(site, verb), {"statement": "mine"})
    assert (answer.status_code, Event.objects.count()) == (404, before)


def test_a_gate_of_another_project_is_not_here(site: Site, seen_by: Any) -> None:
    far = build("far.")
    far.signed()
    for address in (page(far), doing(far, "clear")):
        mixed = address.replace(str(far.project.uid), str(site.project.uid))
        assert seen_by("contractor").get(mixed if "clear" not in mixed else mixed[:-6]).status_code == 404
        assert seen_by("contractor").post(mixed, {}).status_code in {404, 405}
    assert Clearing.objects.count() == 0
    assert seen_by("contractor").get(page(site).replace(str(uid(site)), str(NOBODYS))).status_code == 404


def test_what_is_missing_stands_with_who_owes_it_and_their_telephone(site: Site, seen_by: Any) -> None:
    groups = seen_by("contractor").get(page(site)).context["missing_by_owner"]
    told = [
        (
            group.owner,
            group.phone,
            [(work.name, work.word, [(part.what, part.word) for part in work.parts]) for work in group.works],
        )
        for group in groups
    ]
    assert told == [
        (
            "Copper Creek Framing",
            "555-0142",
            [("Backing", "has not begun", [("Photo", ""), ("Spread", "")])],
        ),
        (
            "electrical authority",
            "",
            [("Rough", "", [("Electrical inspection", "the authority’s own document is missing")])],
        ),
        ("", "", [("Question open: pit.sump", "", [])]),
    ]


def test_it_says_what_would_be_missing_were_everything_accepted(site: Site, seen_by: Any) -> None:
    site.start("backing@rail-wall", "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.read("backing@rail-wall#spread", "framer", '30"')
    site.offer("backing@rail-wall", "framer")
    answer = seen_by("contractor").get(page(site))
    assert (answer.context["missing_count"], answer.context["still_missing"]) == (5, 2)
    assert "handed in and offered accepted, 2 would still be missing" in text_of(answer)


def test_a_signature_is_asked_for_only_when_nothing_else_is_missing(site: Site, seen_by: Any) -> None:
    held = seen_by("contractor").get(page(site))
    assert (held.context["sign_form"], held.context["signs_later"]) == (None, True)
    site.ready()
    ready = seen_by("contractor").get(page(site))
    assert [field.name for field in ready.context["sign_form"]] == ["statement"]
    assert seen_by("coordinator").get(page(site)).context["sign_form"] is None


def test_signing_and_clearing_with_plain_buttons(site: Site, seen_by: Any) -> None:
    site.ready()
    for name in ("contractor", "crew"):
        answer = seen_by(name).post(doing(site, "sign"), {"statement": "All of it is in place."})
        assert (answer.status_code, answer.url) == (302, page(site))
    shown = seen_by("contractor").get(page(site))
    assert [(line.role, line.word) for line in shown.context["signers"]] == [
        ("General contractor", "signed"),
        ("Elevator crew", "signed"),
    ]
    assert "Clear the gate" in text_of(shown)
    assert seen_by("contractor").post(doing(site, "clear")).status_code == 302
    assert [row.gate.key for row in Clearing.objects.all()] == ["close-in"]


def test_a_double_press_signs_and_clears_once(site: Site, seen_by: Any) -> None:
    site.ready()
    client = seen_by("contractor")
    answers = [client.post(doing(site, "sign"), {"statement": "In place."}).status_code for _ in range(2)]
    site.sign("close-in", "crew")
    answers += [client.post(doing(site, "clear")).status_code for _ in range(2)]
    assert answers == [302] * 4
    assert (Signature.objects.filter(role="contractor").count(), Clearing.objects.count()) == (1, 1)


@pytest.mark.parametrize(
    ("verb", "told", "said"),
    [
        ("sign", {"statement": " "}, "Say what you sign for."),
        ("sign", {"statement": "In place."}, "Backing has not begun"),
        ("clear", {}, "Signature missing: general contractor"),
    ],
)
def test_a_refusal_says_why_in_its_place(site: Site, seen_by: Any, verb: str, told: Any, said: str) -> None:
    before = Event.objects.count()
    answer = seen_by("contractor").post(doing(site, verb), told)
    assert (answer.status_code, Event.objects.count()) == (422, before)
    assert said in text_of(answer)
    assert b'role="alert" tabindex="-1" data-take-focus' in answer.content


def test_whoever_does_not_clear_it_is_refused(site: Site, seen_by: Any) -> None:
    site.signed()
    assert seen_by("crew").post(doing(site, "clear")).status_code == 403
    assert seen_by("coordinator").post(doing(site, "sign"), {"statement": "mine"}).status_code == 403
    assert Clearing.objects.count() == 0


def test_there_are_no_other_verbs_and_no_looking_at_them(site: Site, seen_by: Any) -> None:
    assert seen_by("contractor").post(doing(site, "open")).status_code == 404
    assert seen_by("contractor").get(doing(site, "clear")).status_code == 405


def test_a_reopened_gate_says_why_and_who_is_at_work_behind_it(site: Site, seen_by: Any) -> None:
    site.signed()
    site.clear("close-in")
    site.start("board@rail-wall", "other electrician")
    evidence = site.need("backing@rail-wall#left")
    from coordination.evidence.models import Evidence

    site.withdraw(Evidence.objects.get(requirement=evidence), "framer", "wrong wall")
    answer = seen_by("contractor").get(page(site))
    [line] = answer.context["rounds"]
    assert line.causes == ("What was handed in for “Photo” was withdrawn: wrong wall",)
    assert [(one.task, one.company, one.phone) for one in line.behind] == [
        ("board", "Cold Spring Electric", "555-0121")
    ]
    assert (answer.context["state"], "tel:5550121" in answer.content.decode()) == ("reopened", True)


def test_the_report_shows_itself_when_it_is_made(site: Site, seen_by: Any, monkeypatch: Any) -> None:
    site.signed()
    clearing = site.clear("close-in")
    waiting = seen_by("contractor").get(page(site)).content.decode()
    assert 'hx-trigger="every 3s"' in waiting
    made = paper(clearing, site.step(), monkeypatch)
    shown = seen_by("contractor").get(page(site)).content.decode()
    assert "hx-trigger" not in shown
    assert reverse("report", args=[site.project.uid, made.code]) in shown


def test_the_list_of_gates_costs_the_same_however_many(
    site: Site, seen_by: Any, django_assert_num_queries: Any
) -> None:
    client = seen_by("contractor")
    address = reverse("gates", args=[site.project.uid])
    client.get(address)
    with django_assert_num_queries(QUERIES_OF_THE_LIST):
        assert len(client.get(address).context["lines"]) == 2
    site.signed()
    site.clear("close-in")
    client.get(address)
    with django_assert_num_queries(QUERIES_OF_THE_LIST):
        client.get(address)


QUERIES_OF_THE_LIST = 33
