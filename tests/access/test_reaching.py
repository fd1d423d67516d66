"""How a company is reached: written down once, by whom it concerns, with one event."""

import json

import pytest

from coordination.access.actions import add_member, assign_company, open_project, set_reach
from coordination.access.models import Company, Project
from coordination.access.permissions import NotAllowed
from coordination.access.queries import visitor_for
from coordination.access.refusals import CannotBeSo, NotVisible
from coordination.access.visitors import Visitor
from coordination.record.models import Event
from tests.standing_cast import AT, Cast, gather


@pytest.fixture
def cast(db: None) -> Cast:
    return gather()


@pytest.fixture
def other_cast(db: None) -> Cast:
    return gather("other-")


def told(cast: Cast, name: str = "contractor", company: str = "framer", **how: str) -> Company:
    visitor = cast.visitor(name)
    how = {"contact": "Bo Tran", "phone": "555-0142", "email": "office@copper.example", **how}
    return set_reach(visitor.project, visitor, AT, cast.companies[company], **how)


@pytest.mark.parametrize("name", ["coordinator", "contractor"])
def test_it_is_written_down_with_one_event_and_twice_is_harmless(cast: Cast, name: str) -> None:
    before = Event.objects.count()
    assert [told(cast, name).email for _ in range(2)] == ["office@copper.example"] * 2
    [event] = Event.objects.order_by("pk")[before:]
    framer = cast.companies["framer"]
    assert (event.stream, event.verb, event.subject) == (
        cast.project.stream,
        "company reach set",
        str(framer.uid),
    )
    assert json.loads(event.body) == {
        "company": "Copper Creek Framing",
        "contact": "Bo Tran",
        "email": "office@copper.example",
        "was": {"contact": "Copper Creek Framing office", "email": ""},
    }
    told(cast, name, email=" ")
    assert Company.objects.get(pk=framer.pk).email == ""


@pytest.mark.parametrize("email", ["office", "office@", "two@a.example, b@a.example"])
def test_what_is_no_address_is_refused_and_leaves_nothing(cast: Cast, email: str) -> None:
    before = Event.objects.count()
    with pytest.raises(CannotBeSo) as refused:
        told(cast, email=email, phone="555-9999")
    assert [reason.key for reason in refused.value.reasons] == ["not an e-mail address"]
    assert (Event.objects.count(), Company.objects.get(pk=cast.companies["framer"].pk).phone) == (
        before,
        "555-0142",
    )


@pytest.mark.parametrize("name", ["crew", "framer", "owner"])
def test_nobody_else_writes_it_down(cast: Cast, name: str) -> None:
    with pytest.raises(NotAllowed):
        told(cast, name)


def test_a_company_without_work_here_is_not_there(cast: Cast, other_cast: Cast) -> None:
    with pytest.raises(NotVisible):
        told(cast, company="other electrician")
    visitor = cast.visitor("coordinator")
    with pytest.raises(NotVisible):
        set_reach(
            visitor.project, visitor, AT, other_cast.companies["framer"], contact="", phone="", email=""
        )


def test_a_contractor_does_not_alter_it_for_sites_of_others(cast: Cast) -> None:
    """Its address is the same on every site: mail about somebody else's would go where this contractor says."""
    site, there = _second_site(cast)
    with pytest.raises(CannotBeSo) as refused:
        told(cast)
    assert [reason.key for reason in refused.value.reasons] == ["company works elsewhere"]
    assert told(cast, "coordinator").email == "office@copper.example"
    mine = cast.memberships["contractor"]
    add_member(site, there, AT, person=mine.person, company=mine.company, role="contractor")
    assert told(cast, email="yard@copper.example").email == "yard@copper.example"


def _second_site(cast: Cast) -> tuple[Project, Visitor]:
    """Another site of the supplier, on which the framer works, too, with its coordinator."""
    person, told = cast.people["coordinator"], {"name": "Second lane", "zone": "America/New_York"}
    site = open_project(cast.supplier, person, cast.companies["supplier"], at=AT, **told)
    there = visitor_for(person=person, link_uids=[], project_uid=site.uid, at=AT)
    assign_company(site, there, AT, trade="framing", company=cast.companies["framer"])
    return site, there
