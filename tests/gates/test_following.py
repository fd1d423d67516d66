"""What follows from time or facts alone is found from state, and done once."""

from datetime import timedelta

from coordination.gates.following import settle, unsettled
from coordination.gates.models import Concession
from coordination.record.queries import newest
from tests.gates.sites import BACKING, RAILS

SPREAD = "backing@rail-wall#spread"


def test_a_concession_that_runs_out_reopens_the_gate_that_rested_on_it(site):
    site.start(BACKING.key, "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.read(SPREAD, "framer", '32"')
    last = site.at.date() + timedelta(days=3)
    site.concede(SPREAD, "coordinator", expires_on=last)
    site.concede(SPREAD, "contractor", scope="")
    offer = site.offer(BACKING.key, "framer")
    site.review("backing@rail-wall#left", "contractor")
    site.answer(offer, RAILS.key, "crew")
    site.inspect()
    site.settle()
    site.sign("close-in", "contractor")
    site.sign("close-in", "crew")
    site.clear("close-in")
    assert unsettled(site.at) == []
    site.step(days=4)
    assert unsettled(site.at) == [str(site.project.uid)]
    for _turn in range(2):
        settle(str(site.project.uid), site.at)
    assert unsettled(site.at) == []
    assert (Concession.objects.get().ended_at, site.clearing("close-in").reopened_at) == (site.at, site.at)
    assert [(item.verb, item.actor["identity"]) for item in newest(site.project.stream, most=1)] == [
        ("concession lapsed", "system")
    ]


def test_a_fact_from_which_no_other_plan_follows_reopens_what_had_read_it(site):
    site.signed()
    site.clear("close-in")
    site.state("pit.sump", True)
    assert unsettled(site.at) == [str(site.project.uid)]
    settle(str(site.project.uid), site.step())
    assert (unsettled(site.at), site.clearing("close-in").reopened_at) == ([], site.at)
    told = newest(site.project.stream, most=1)[0]
    assert (told.verb, [item["gate"] for item in told.body["reopens"]]) == ("gates reopened", ["close-in"])
