"""The owner's page: plain words and the drawing, and nothing that is a company's own."""

import re
from dataclasses import replace
from typing import Any

import pytest
from django.urls import reverse

from coordination.gates.models import Clearing, Concession, Signature, Voice
from coordination.record.models import Event
from coordination.siteprep.plan import Condition
from tests.gates.sites import BACKING, JOB, Site, build, with_requirement
from tests.projects.small_plans import gate
from tests.standing_cast import NOBODYS
from tests.web.sites import browser, text_of

SPREAD = BACKING.requirements[1]
LETTING = with_requirement(JOB, BACKING.key, replace(SPREAD, concede=("coordinator", "owner")))
LAST, HANDOVER = gate("handover", Condition("gate cleared", "close-in"), signers=("owner",))
SIGNING = replace(
    JOB,
    tasks=tuple(LAST if task.key == LAST.key else task for task in JOB.tasks),
    gates=(JOB.gates[0], HANDOVER),
)


def page(site: Site) -> str:
    return reverse("standing", args=[site.project.uid])


def concede(site: Site, requirement: Any = None) -> str:
    uid = requirement or site.need("backing@rail-wall#spread").uid
    return reverse("owner-concession", args=[site.project.uid, uid])


@pytest.mark.parametrize(
    "name", ["owner", "by link: owner", "by link: inspector", "coordinator", "contractor", "crew"]
)
def test_it_is_there_without_an_account(site: Site, seen_by: Any, name: str) -> None:
    assert seen_by(name).get(page(site)).status_code == 200


@pytest.mark.parametrize(
    "name", ["electrician", "framer", "left", "stranger", "by link: framer", "by link: expired"]
)
def test_for_others_it_is_not_there(site: Site, seen_by: Any, name: str) -> None:
    assert seen_by(name).get(page(site)).status_code == 404
    assert seen_by(name).post(concede(site), {}).status_code == 404


def test_another_suppliers_owner_sees_nothing(site: Site) -> None:
    far = build("far.")
    assert browser(far)("by link: owner").get(page(site)).status_code == 404


def test_it_says_how_far_it_is_in_plain_words(site: Site, seen_by: Any) -> None:
    site.start("backing@rail-wall", "framer")
    answer = seen_by("by link: owner").get(page(site))
    assert answer.context["in_short"].startswith("0 of 2 gates are cleared. The next is “close-in”, expected")
    assert [(line.name, line.word, line.note) for line in answer.context["waiting"]] == [
        ("pit.sump", "waits for an answer", ""),
        ("Backing", "under way", "Rail wall, framing"),
        ("Electrical inspection", "waits for the authority’s document", "Electrical authority"),
        ("Signature of the general contractor", "to be signed", ""),
        ("Signature of the elevator crew", "to be signed", ""),
    ]


def test_it_says_which_gates_are_behind_and_when_the_others_come(site: Site, seen_by: Any) -> None:
    site.signed()
    site.clear("close-in")
    way = [
        (line.name, line.state, line.word.split(" on ")[0])
        for line in seen_by("owner").get(page(site)).context["way"]
    ]
    assert way[0] == ("close-in", "cleared", "cleared")
    assert way[1][0] == "handover"


def test_a_visit_is_awaited_until_every_gate_is_cleared(site: Site, seen_by: Any) -> None:
    client = seen_by("owner")
    assert "next visit not booked yet" in text_of(client.get(page(site)))
    site.signed()
    site.clear("close-in")
    site.clear("handover")
    assert "next visit none left" in text_of(client.get(page(site)))


def test_no_telephone_no_company_and_no_row_of_ours_is_on_it(site: Site, seen_by: Any) -> None:
    site.start("backing@rail-wall", "framer")
    site.photo("backing@rail-wall#left", "framer")
    text = seen_by("by link: owner").get(page(site)).content.decode()
    for word in ("555-", "tel:", "Copper Creek", "Juniper", "Cold Spring", "Bo Tran", "site.example"):
        assert word not in text
    assert {*re.findall(r'"(/sites/[^"]*)"', text)} == {reverse("papers", args=[site.project.uid])}


def test_what_the_owner_decides_is_asked(site: Site, seen_by: Any) -> None:
    assert seen_by("owner").get(page(site)).context["asked"] == []


def _out_of_tolerance(site: Site) -> None:
    site.start("backing@rail-wall", "framer")
    site.read("backing@rail-wall#spread", "framer", '32"')


def test_an_owner_who_is_named_is_asked_and_grants(db: Any, now: Any) -> None:
    site = build(derived=LETTING)
    _out_of_tolerance(site)
    site.concede("backing@rail-wall#spread", "coordinator")
    client = browser(site)("by link: owner")
    [asking] = client.get(page(site)).context["askings"]
    assert (asking.what, asking.found, asking.reason, asking.spoken) == (
        "Spread",
        '32"',
        "shim ordered",
        ("coordinator",),
    )
    told = {"kind": asking.kind, "reason": "The wall stays as it is."}
    assert [client.post(concede(site), told).status_code for _press in range(2)] == [302, 302]
    assert [voice.role for voice in Voice.objects.order_by("pk")] == ["coordinator", "owner"]
    assert client.get(page(site)).context["askings"] == []


def test_an_owner_may_speak_first_and_then_says_the_scope(db: Any, now: Any) -> None:
    site = build(derived=LETTING)
    _out_of_tolerance(site)
    client = browser(site)("by link: owner")
    assert b'name="scope"' in client.get(page(site)).content
    refused = client.post(concede(site), {"kind": "concession", "reason": "Fine.", "scope": ""})
    assert (refused.status_code, Concession.objects.count()) == (422, 0)
    assert "Say for what part of the work it holds." in text_of(refused)
    told = {"kind": "concession", "reason": "Fine.", "scope": "rail wall"}
    assert client.post(concede(site), told).status_code == 302
    assert [voice.role for voice in Voice.objects.all()] == ["owner"]


def test_a_reason_is_needed(db: Any, now: Any) -> None:
    site = build(derived=LETTING)
    _out_of_tolerance(site)
    site.concede("backing@rail-wall#spread", "coordinator")
    answer = browser(site)("by link: owner").post(concede(site), {"kind": "concession", "reason": " "})
    assert (answer.status_code, Voice.objects.count()) == (422, 1)
    assert "Give the reason for going on without it." in text_of(answer)


def test_an_owner_who_is_not_named_grants_nothing(site: Site, seen_by: Any) -> None:
    _out_of_tolerance(site)
    before = Event.objects.count()
    told = {"kind": "concession", "reason": "Fine.", "scope": "all"}
    assert seen_by("by link: owner").get(page(site)).context["askings"] == []
    assert seen_by("by link: owner").post(concede(site), told).status_code == 403
    assert seen_by("by link: owner").post(concede(site, NOBODYS), told).status_code == 404
    assert Event.objects.count() == before


def test_what_only_an_authority_releases_is_never_let_go(site: Site, seen_by: Any) -> None:
    address = concede(site, site.need("rough@pit#inspection").uid)
    answer = seen_by("by link: owner").post(
        address, {"kind": "concession", "reason": "Fine.", "scope": "all"}
    )
    assert (answer.status_code, Concession.objects.count()) == (422, 0)
    assert "only the authority's own document releases it" in text_of(answer)


def test_the_owner_signs_the_handover_on_their_own_page(db: Any, now: Any) -> None:
    site = build(derived=SIGNING)
    site.signed()
    site.clear("close-in")
    client = browser(site)("by link: owner")
    [(signing, _form)] = client.get(page(site)).context["signings"]
    address = reverse("gate-doing", args=[site.project.uid, signing.uid, "sign"])
    answer = client.post(address, {"statement": "Received."})
    assert (answer.status_code, answer.url) == (302, page(site))
    assert [(row.role, row.statement) for row in Signature.objects.filter(gate__key="handover")] == [
        ("owner", "Received.")
    ]
    assert client.get(page(site)).context["signings"] == []
    assert client.post(address.replace("/sign", "/clear")).status_code == 403
    assert Clearing.objects.count() == 1


def test_before_a_plan_stands_it_says_so(cast: Any, came_by_link: Any) -> None:
    answer = came_by_link("owner").get(reverse("standing", args=[cast.project.uid]))
    assert "The facts of the building are being gathered; nothing is planned yet." in text_of(answer)
