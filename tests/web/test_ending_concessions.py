"""A concession is taken back by whoever may grant it: on the sheet of its task, and on the owner's own page."""

from dataclasses import replace
from typing import Any

from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from coordination.gates.models import Concession
from coordination.record.models import Event
from tests.gates.sites import BACKING, JOB, Site, build, with_requirement
from tests.web.sites import browser, text_of
from tests.web.worked_site import browse, site

__all__ = ["browse", "site"]

SPREAD = "backing@rail-wall#spread"
LEFT = "backing@rail-wall#left"
LETTING = with_requirement(
    JOB, BACKING.key, replace(BACKING.requirements[1], concede=("coordinator", "owner"))
)


def sheet(site: Site) -> str:
    return reverse("task", args=[site.project.uid, site.task(BACKING.key).uid])


def doing(client: Client, site: Site, verb: str, need: str, **told: Any) -> HttpResponse:
    return client.post(reverse("requirement-doing", args=[site.project.uid, site.need(need).uid, verb]), told)


def page(site: Site) -> str:
    return reverse("standing", args=[site.project.uid])


def concede(site: Site) -> str:
    return reverse("owner-concession", args=[site.project.uid, site.need(SPREAD).uid])


def test_a_concession_is_taken_back_by_whoever_may_grant_it(site: Site, browse: Any) -> None:
    site.start(BACKING.key, "framer")
    site.read(SPREAD, "framer", '33"')
    told = {"reason": "shims ordered", "scope": "left side", "expires_on": "2026-05-01"}
    client = browse("contractor")
    doing(client, site, "concede", SPREAD, **told)
    assert client.get(sheet(site)).context["cards"][1].doings.ending == Concession.objects.get().uid
    doing(browse("coordinator"), site, "concede", SPREAD, **told)
    assert client.get(sheet(site)).context["cards"][1].need.concession.endswith("; until Fri 1 May")
    uid = Concession.objects.get().uid
    assert browse("crew").get(sheet(site)).context["cards"][1].doings.ending is None
    assert (
        doing(browse("crew"), site, "end-concession", SPREAD, concession=uid, reason="x").status_code == 403
    )
    assert doing(client, site, "end-concession", SPREAD, concession=uid, reason="").status_code == 422
    assert doing(client, site, "end-concession", LEFT, concession=uid, reason="x").status_code == 404
    for _press in range(2):
        told = {"concession": uid, "reason": "the shims do not fit"}
        assert doing(client, site, "end-concession", SPREAD, **told).status_code == 302
    card = client.get(sheet(site)).context["cards"][1]
    assert (card.need.concession, card.doings.ending, Concession.objects.get().ended_at is None) == (
        "",
        None,
        False,
    )
    assert Event.objects.filter(verb="concession ended").count() == 1


def test_an_owner_takes_back_what_they_have_let_go(db: Any, now: Any) -> None:
    site = build(derived=LETTING)
    site.start(BACKING.key, "framer")
    site.read(SPREAD, "framer", '32"')
    site.concede(SPREAD, "coordinator")
    client = browser(site)("by link: owner")
    client.post(concede(site), {"kind": "concession", "reason": "The wall stays as it is."})
    [one] = client.get(page(site)).context["granted"]
    assert (one.what, one.reason) == ("Spread", "shim ordered")
    address = reverse("owner-concession-end", args=[site.project.uid, one.uid])
    assert browser(site)("by link: inspector").post(address, {"reason": "x"}).status_code == 403
    assert browser(site)("stranger").post(address, {"reason": "x"}).status_code == 404
    refused = client.post(address, {"reason": " "})
    assert (refused.status_code, "Say why the concession is taken back." in text_of(refused)) == (422, True)
    assert [client.post(address, {"reason": "It rattles."}).status_code for _press in range(2)] == [302, 302]
    assert client.get(page(site)).context["granted"] == []
    assert Event.objects.filter(verb="concession ended").count() == 1


def test_a_crew_that_a_requirement_names_speaks_too(db: Any, now: Any) -> None:
    named = replace(BACKING.requirements[1], concede=("coordinator", "lift crew"))
    site = build(derived=with_requirement(JOB, BACKING.key, named))
    site.start(BACKING.key, "framer")
    site.read(SPREAD, "framer", '32"')
    told = {"reason": "shims ordered", "scope": "left side"}
    for name in ("coordinator", "crew"):
        assert doing(browser(site)(name), site, "concede", SPREAD, **told).status_code == 302
    [asked] = Concession.objects.all()
    need = browser(site)("crew").get(sheet(site)).context["cards"][1].need
    assert (need.state, asked.ended_at) == ("conceded", None)
