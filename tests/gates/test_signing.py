"""Signatures: for this round and for exactly what stood."""

import pytest

from coordination.access.permissions import NotAllowed
from coordination.evidence.models import Evidence
from coordination.gates.models import Signature
from coordination.gates.queries import assessment
from coordination.gates.refusals import GateNotReady, SayWhy
from tests.gates.sites import BACKING


def kinds(site, gate="close-in"):
    return [(m.kind, m.subject) for m in assessment(site.project, site.at).gates[gate].missing]


def test_one_signs_when_nothing_but_signatures_is_missing(site):
    site.back()
    site.inspect()
    with pytest.raises(GateNotReady) as refusal:
        site.sign("close-in", "contractor")
    assert [(m.kind, m.subject) for m in refusal.value.missing] == [("question open", "pit.sump")]
    site.state("pit.sump", False, state="assumed")
    assert ("fact only assumed", "pit.sump") in kinds(site)
    site.settle()
    site.sign("close-in", "contractor")
    assert kinds(site) == [("signature missing", "lift crew")]


def test_a_signature_for_another_standing_does_not_count_and_can_be_given_again(site):
    site.ready()
    site.sign("close-in", "contractor")
    site.withdraw(Evidence.objects.get(requirement__key="left"), "framer")
    site.photo("backing@rail-wall#left", "framer")
    offer = site.offer(BACKING.key, "framer")
    site.review("backing@rail-wall#left", "contractor")
    site.answer(offer, "rails@hoistway", "crew")
    assert kinds(site) == [
        ("signature for another standing", "contractor"),
        ("signature missing", "lift crew"),
    ]
    site.sign("close-in", "contractor")
    assert kinds(site) == [("signature missing", "lift crew")]


def test_signing_twice_is_one_signature(site):
    site.ready()
    assert site.sign("close-in", "contractor") == site.sign("close-in", "contractor")
    assert Signature.objects.count() == 1


@pytest.mark.parametrize("name", ["coordinator", "framer", "owner"])
def test_only_the_named_roles_sign(site, name):
    site.ready()
    with pytest.raises(NotAllowed):
        site.sign("close-in", name)


def test_a_signature_says_what_is_signed(site):
    site.ready()
    with pytest.raises(SayWhy):
        site.sign("close-in", "contractor", statement=" ")


def test_a_cleared_gate_needs_no_more_signatures(site):
    site.signed()
    site.clear("close-in")
    assert site.sign("close-in", "contractor") is None
