"""Who comes in as what: memberships, links, those whose standing ended, and those of another supplier."""

from datetime import timedelta

import pytest

from coordination.access import actions, queries
from coordination.access.deciding import deciding
from coordination.access.models import Membership
from coordination.access.permissions import NotAllowed
from coordination.access.queries import CompanyView, Site, visitor_for
from coordination.access.refusals import (
    CannotBeSo,
    CannotLeave,
    LinkExpired,
    LinkRevoked,
    LinkUnknown,
    LinkUsed,
    NoLongerStanding,
    NotVisible,
    Reason,
    TooManyAttempts,
)
from coordination.access.visitors import Visitor
from coordination.record.models import Chain, Event
from coordination.record.queries import decisions, newest
from coordination.record.verification import Verified, verify_all
from tests.standing_cast import AT, LATER, NOBODYS, Cast, gather

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast() -> Cast:
    return gather()


@pytest.fixture
def other() -> Cast:
    return gather("other.", name="Weir Street")


def test_each_person_comes_in_with_roles_trades_company_and_phone(cast):
    seen = {
        name: (v.role, sorted(v.trades), v.company_name, v.phone)
        for name in (
            "coordinator",
            "contractor",
            "crew",
            "electrician",
            "other electrician",
            "framer",
            "owner",
        )
        for v in [cast.visitor(name)]
    }
    assert seen == {
        "coordinator": ("coordinator", ["lift"], "Low Rise Lift Supply", "555-0200"),
        "contractor": ("contractor", ["general contractor"], "Tern Hill Builders", "555-0201"),
        "crew": ("lift crew", ["lift"], "Low Rise Lift Supply", "555-0202"),
        "electrician": ("subcontractor", ["electrical"], "Juniper Electric", "555-0203"),
        "other electrician": ("subcontractor", [], "Cold Spring Electric", "555-0204"),
        "framer": ("subcontractor", ["framing"], "Copper Creek Framing", "555-0205"),
        "owner": ("owner", [], "Harrow Lane Apartments", "555-0207"),
    }


def test_work_that_went_to_another_company_is_no_longer_the_first_ones(cast):
    actions.assign_company(
        cast.project,
        cast.visitor("contractor"),
        AT,
        trade="electrical",
        company=cast.companies["other electrician"],
    )
    assert cast.visitor("electrician").trades == frozenset()
    assert cast.visitor("other electrician").trades == {"electrical"}
    assert cast.by_link("electrician").trades == frozenset()


def test_a_trade_named_in_a_membership_counts_while_no_company_has_it(cast):
    person = actions.add_person("dry@site.example", "Di Wall")
    company = cast.companies["framer"]
    actions.add_member(
        cast.project,
        cast.visitor("contractor"),
        AT,
        person=person,
        company=company,
        role="subcontractor",
        trade="drywall",
    )
    visitor = visitor_for(person=person, link_uids=[], project_uid=cast.project.uid, at=AT)
    assert visitor.trades == {"drywall", "framing"}


def test_links_come_in_as_what_they_were_sent_for(cast):
    seen = {
        n: (cast.by_link(n).role, sorted(cast.by_link(n).trades))
        for n in ("electrician", "owner", "inspector")
    }
    assert seen == {
        "electrician": ("subcontractor", ["electrical"]),
        "owner": ("owner", []),
        "inspector": ("inspector", []),
    }
    assert cast.by_link("framer") == Visitor(
        project=cast.project,
        roles=frozenset({"subcontractor"}),
        trades=frozenset({"framing"}),
        company=cast.companies["framer"].uid,
        company_name="Copper Creek Framing",
        name="Copper Creek Framing office",
        phone="555-0142",
        identity=f"link:{cast.links['framer'].uid}",
    )


@pytest.mark.parametrize("name", ["left", "stranger"])
def test_who_left_or_never_stood_there_sees_nothing(cast, name):
    with pytest.raises(NotVisible):
        cast.visitor(name)


@pytest.mark.parametrize("name", ["expired", "revoked"])
def test_links_that_ended_open_nothing(cast, name):
    with pytest.raises(NotVisible):
        cast.by_link(name, LATER)


def test_a_link_holds_to_its_last_moment(cast):
    assert cast.by_link("expired", AT + timedelta(days=1, microseconds=-1)).role == "inspector"
    with pytest.raises(NotVisible):
        cast.by_link("expired", AT + timedelta(days=1))


def test_a_switched_off_account_sees_nothing(cast):
    cast.people["framer"].is_active = False
    with pytest.raises(NotVisible):
        cast.visitor("framer")


def test_nothing_crosses_from_one_supplier_to_another(cast, other):
    with pytest.raises(NotVisible):
        visitor_for(person=cast.people["coordinator"], link_uids=[], project_uid=other.project.uid, at=AT)
    link = cast.links["framer"]
    with pytest.raises(NotVisible):
        visitor_for(person=None, link_uids=[link.uid], project_uid=other.project.uid, at=AT)
    with pytest.raises(NotVisible):
        visitor_for(person=cast.people["coordinator"], link_uids=[], project_uid=NOBODYS, at=AT)
    with pytest.raises(NotVisible):
        queries.company_of(cast.project, other.companies["framer"].uid)
    assert queries.company_of(cast.project, cast.companies["framer"].uid) == cast.companies["framer"]


def test_a_person_and_a_link_are_not_added_up(cast):
    both = visitor_for(
        person=cast.people["framer"],
        link_uids=[cast.links["inspector"].uid],
        project_uid=cast.project.uid,
        at=AT,
    )
    assert (both.roles, both.identity) == (
        frozenset({"subcontractor"}),
        f"person:{cast.people['framer'].uid}",
    )


def test_of_several_links_the_one_opened_last_counts(cast):
    opened = [cast.links["owner"].uid, cast.links["inspector"].uid]
    seen = [
        visitor_for(person=None, link_uids=uids, project_uid=cast.project.uid, at=AT).role
        for uids in (opened, opened[::-1])
    ]
    assert seen == ["inspector", "owner"]


def test_ids_of_another_project_are_not_visible_to_actions(cast, other):
    coordinator = cast.visitor("coordinator")
    for act in (
        lambda: actions.end_membership(cast.project, coordinator, AT, other.memberships["framer"].uid),
        lambda: actions.revoke_link(cast.project, coordinator, AT, other.links["owner"].uid),
        lambda: actions.assign_company(
            cast.project, coordinator, AT, trade="framing", company=other.companies["framer"]
        ),
        lambda: actions.send_link(
            cast.project, coordinator, AT, purpose="company tasks", company=other.companies["framer"]
        ),
        lambda: actions.add_member(
            cast.project,
            coordinator,
            AT,
            person=cast.people["stranger"],
            company=other.companies["framer"],
            role="owner",
        ),
        lambda: actions.open_project(
            cast.supplier, cast.people["coordinator"], other.companies["supplier"], name="x", at=AT
        ),
    ):
        before = Event.objects.count()
        with pytest.raises(NotVisible):
            act()
        assert Event.objects.count() == before
    with pytest.raises(ValueError, match="another project"), deciding(other.project, coordinator, AT):
        pass


def test_sites_members_assignments_and_companies(cast, other):
    assert queries.sites_of(cast.people["coordinator"]) == [
        Site(
            cast.project.uid,
            "Harrow Lane",
            "12 Harrow Lane",
            "running",
            "Low Rise Lift Supply",
            ("coordinator",),
        )
    ]
    assert queries.sites_of(cast.people["left"]) == []
    framer = cast.companies["framer"]
    assert queries.assignments(cast.project)["framing"] == CompanyView(
        framer.uid, "Copper Creek Framing", "555-0142", "Copper Creek Framing office", True
    )
    assert list(queries.assignments(cast.project)) == ["electrical", "framing", "general contractor", "lift"]
    assert [(m.role, m.name, m.trade) for m in queries.members(cast.project)] == [
        ("coordinator", "Ida Marsh", ""),
        ("contractor", "Ana Ruiz", ""),
        ("lift crew", "Lou Becker", "lift"),
        ("subcontractor", "Kit Ames", "electrical"),
        ("subcontractor", "Sol Vance", "electrical"),
        ("subcontractor", "Bo Tran", "framing"),
        ("owner", "Pat Quill", ""),
    ]
    assert sorted((link.purpose, link.revoked_at is not None) for link in queries.links(cast.project)) == [
        ("company tasks", False),
        ("company tasks", False),
        ("company tasks", True),
        ("inspection", False),
        ("inspection", False),
        ("owner page", False),
    ]
    assert {c.uid for c in queries.companies(cast.project)} == {c.uid for c in cast.companies.values()}


def test_lists_cost_the_same_queries_at_one_and_three_rows(django_assert_num_queries):
    one = actions.found_supplier("One", AT)
    person = actions.add_person("ida@site.example", "Ida Marsh")
    company = actions.add_company(one, name="One", at=AT, actor={})
    for rows in (1, 3):
        while Membership.objects.filter(person=person).count() < rows:
            project = actions.open_project(one, person, company, name="P", at=AT)
        with django_assert_num_queries(1):
            assert len(queries.sites_of(person)) == rows
    with django_assert_num_queries(2):
        visitor = visitor_for(person=person, link_uids=[], project_uid=project.uid, at=AT)
    for rows in (1, 3):
        while len(queries.links(project)) < rows:
            actions.send_link(project, visitor, AT, purpose="owner page")
            actions.assign_company(
                project,
                visitor,
                AT,
                trade=("drywall", "flooring", "concrete")[len(queries.links(project)) - 1],
                company=company,
            )
            member = actions.add_person(f"{len(queries.links(project))}@site.example", "M")
            actions.add_member(project, visitor, AT, person=member, company=company, role="owner")
        with django_assert_num_queries(1):
            assert len(queries.links(project)) == rows
        with django_assert_num_queries(1):
            assert len(queries.members(project)) == rows + 1
        with django_assert_num_queries(1):
            queries.assignments(project)
        with django_assert_num_queries(2):
            visitor_for(person=person, link_uids=[], project_uid=project.uid, at=AT)
        uids = [link.uid for link in queries.links(project)]
    with django_assert_num_queries(1):
        assert visitor_for(person=None, link_uids=uids, project_uid=project.uid, at=AT).role == "owner"


def test_every_decision_writes_exactly_one_event_and_a_second_press_none(cast):
    coordinator = cast.visitor("coordinator")
    framer, owner = cast.companies["framer"], cast.people["owner"]
    presses = [
        lambda: actions.add_member(
            cast.project, coordinator, AT, person=cast.people["stranger"], company=framer, role="owner"
        ),
        lambda: actions.assign_company(cast.project, coordinator, AT, trade="drywall", company=framer),
        lambda: actions.revoke_link(cast.project, coordinator, AT, cast.links["owner"].uid),
        lambda: actions.end_membership(cast.project, coordinator, AT, cast.memberships["owner"].uid),
        lambda: actions.add_company(cast.supplier, name="New Firm", at=AT, actor={}),
        lambda: actions.found_supplier("Another", AT, uid=NOBODYS),
        lambda: actions.open_project(cast.supplier, owner, framer, name="Second", at=AT, uid=NOBODYS),
    ]
    for press in presses:
        before = Event.objects.count()
        first, second = press(), press()
        assert (first, Event.objects.count() - before) == (second, 1)
    assert all(isinstance(answer, Verified) for answer in verify_all())
    assert [(d.verb, d.actor["name"]) for d in newest(cast.project.stream, most=4)] == [
        ("member left", "Ida Marsh"),
        ("link revoked", "Ida Marsh"),
        ("company assigned", "Ida Marsh"),
        ("member added", "Ida Marsh"),
    ]
    assert decisions(cast.project.stream)[0].verb == "project opened"


def test_a_uid_of_another_suppliers_project_opens_nothing(cast, other):
    with pytest.raises(NotVisible):
        actions.open_project(
            cast.supplier,
            cast.people["coordinator"],
            cast.companies["supplier"],
            name="x",
            at=AT,
            uid=other.project.uid,
        )


def test_what_cannot_be_is_named_all_at_once(cast):
    with pytest.raises(CannotBeSo) as refused:
        actions.open_project(
            cast.supplier,
            cast.people["coordinator"],
            cast.companies["supplier"],
            name=" ",
            zone="Moon/Base",
            code_set="eu",
            at=AT,
        )
    assert refused.value.reasons == (
        Reason("no name"),
        Reason("no such zone", {"typed": "Moon/Base"}),
        Reason("no such code set", {"typed": "eu", "choices": "us, en"}),
    )
    coordinator = cast.visitor("coordinator")
    for wrong, reasons in [
        ({"purpose": "sign in"}, [("no such purpose", "sign in")]),
        ({"purpose": "company tasks"}, [("a link to tasks names a company", None)]),
        ({"purpose": "owner page", "days": 0}, [("days out of range", None)]),
        (
            {"purpose": "owner page", "company": cast.companies["framer"], "days": 4000},
            [("only a link to tasks names a company", None), ("days out of range", None)],
        ),
    ]:
        with pytest.raises(CannotBeSo) as refused:
            actions.send_link(cast.project, coordinator, AT, **wrong)
        assert [(r.key, r.args.get("typed")) for r in refused.value.reasons] == reasons
    with pytest.raises(CannotBeSo):
        actions.add_person("not-a-mail", "X")
    with pytest.raises(CannotBeSo):
        actions.add_company(cast.supplier, name="Copper Creek Framing", phone="1", at=AT, actor={})
    for role, trade, key in [
        ("boss", "", "no such role"),
        ("subcontractor", "", "a subcontractor names a trade"),
        ("subcontractor", "carpets", "no such trade"),
    ]:
        with pytest.raises(CannotBeSo) as refused:
            actions.add_member(
                cast.project,
                coordinator,
                AT,
                person=cast.people["stranger"],
                company=cast.companies["framer"],
                role=role,
                trade=trade,
            )
        assert [reason.key for reason in refused.value.reasons] == [key]
    with pytest.raises(CannotBeSo):
        actions.assign_company(
            cast.project, coordinator, AT, trade="carpets", company=cast.companies["framer"]
        )


def test_a_contractor_makes_nobody_a_coordinator_and_dismisses_none(cast):
    contractor = cast.visitor("contractor")
    for role in ("coordinator", "lift crew"):
        with pytest.raises(NotAllowed):
            actions.add_member(
                cast.project,
                contractor,
                AT,
                person=cast.people["contractor"],
                company=cast.companies["contractor"],
                role=role,
            )
    with pytest.raises(NotAllowed):
        actions.end_membership(cast.project, contractor, AT, cast.memberships["crew"].uid)
    assert Membership.objects.get(pk=cast.memberships["crew"].pk).left_at is None


def test_the_last_coordinator_cannot_leave(cast):
    coordinator = cast.visitor("coordinator")
    own = Membership.objects.get(project=cast.project, role="coordinator")
    with pytest.raises(CannotLeave):
        actions.end_membership(cast.project, coordinator, AT, own.uid)
    own.refresh_from_db()
    assert own.left_at is None


def test_who_left_after_the_page_was_opened_decides_nothing(cast):
    framer, by_link = cast.visitor("framer"), cast.by_link("framer")
    coordinator = cast.visitor("coordinator")
    actions.end_membership(cast.project, coordinator, AT, cast.memberships["framer"].uid)
    actions.revoke_link(cast.project, coordinator, AT, cast.links["framer"].uid)
    for visitor in (framer, by_link):
        before = Event.objects.count()
        with pytest.raises(NoLongerStanding), deciding(cast.project, visitor, AT) as pen:
            pen.write("work begun", subject="x", body={})
        assert Event.objects.count() == before


def test_whose_link_expired_or_account_was_switched_off_meanwhile_decides_nothing(cast):
    inspector, framer = cast.by_link("expired"), cast.visitor("framer")
    type(cast.people["framer"]).objects.filter(pk=cast.people["framer"].pk).update(is_active=False)
    for visitor, at in ((inspector, AT + timedelta(days=1)), (framer, AT)):
        with pytest.raises(NoLongerStanding), deciding(cast.project, visitor, at) as pen:
            pen.write("remark left", subject="x", body={})
    with deciding(cast.project, inspector, AT) as pen:
        pen.write("remark left", subject="x", body={})


def test_a_role_that_ended_is_not_carried_by_another_that_stands(cast):
    both = {"person": cast.people["framer"], "company": cast.companies["framer"]}
    coordinator = cast.visitor("coordinator")
    owner = actions.add_member(cast.project, coordinator, AT, role="owner", **both)
    visitor = cast.visitor("framer")
    actions.end_membership(cast.project, coordinator, AT, owner.uid)
    with pytest.raises(NoLongerStanding), deciding(cast.project, visitor, AT) as pen:
        pen.write("concession granted", subject="x", body={})


def test_a_sign_in_link_of_a_switched_off_account_opens_nothing(cast):
    token = actions.send_sign_in_link(cast.people["framer"], AT)
    type(cast.people["framer"]).objects.filter(pk=cast.people["framer"].pk).update(is_active=False)
    with pytest.raises(LinkRevoked):
        actions.open_link(token, AT)


def test_a_contractor_introduces_a_company_to_the_projects_supplier(cast):
    told = {"name": "Larch Drywall", "phone": "555-0170"}
    company = actions.introduce_company(cast.project, cast.visitor("contractor"), AT, **told)
    assert (company.supplier, company.phone) == (cast.supplier, "555-0170")
    assert newest(f"supplier:{cast.supplier.uid}", most=1)[0].actor["name"] == "Ana Ruiz"
    with pytest.raises(NotAllowed):
        actions.introduce_company(cast.project, cast.visitor("framer"), AT, name="Own Firm")


def test_an_account_has_no_password_and_is_made_once(cast):
    again = actions.add_person("OWNER@site.example", "Somebody Else")
    assert (again, again.name, again.has_usable_password()) == (cast.people["owner"], "Pat Quill", False)


def test_who_came_back_stands_again(cast):
    coordinator = cast.visitor("coordinator")
    told = {"person": cast.people["left"], "company": cast.companies["framer"]}
    actions.add_member(cast.project, coordinator, AT, role="subcontractor", trade="framing", **told)
    with deciding(cast.project, cast.visitor("left"), AT) as pen:
        pen.write("work begun", subject="x", body={})


# ------------------------------------------------------------------ opening links


def test_looking_at_a_link_never_uses_it_up(cast):
    token = actions.send_sign_in_link(cast.people["owner"], AT)
    for _ in range(3):
        link = actions.open_link(token, AT)
    assert (link.person, link.used_at) == (cast.people["owner"], None)
    actions.spend_link(link, AT)
    with pytest.raises(LinkUsed):
        actions.spend_link(link, AT)
    with pytest.raises(LinkUsed):
        actions.open_link(token, AT)


def test_of_two_presses_on_stale_pages_one_signs_in(cast):
    token = actions.send_sign_in_link(cast.people["owner"], AT)
    first, second = actions.open_link(token, AT), actions.open_link(token, AT)
    actions.spend_link(first, AT)
    with pytest.raises(LinkUsed):
        actions.spend_link(second, AT)


def test_a_link_that_works_more_than_once_does(cast):
    link = actions.open_link(actions.send_sign_in_link(cast.people["owner"], AT, once=False), AT)
    for _ in range(2):
        actions.spend_link(link, AT)


def test_a_sign_in_link_lasts_twenty_minutes(cast):
    token = actions.send_sign_in_link(cast.people["owner"], AT)
    link = actions.open_link(token, AT + timedelta(minutes=19, seconds=59))
    for act in (actions.open_link, lambda _token, at: actions.spend_link(link, at)):
        with pytest.raises(LinkExpired):
            act(token, AT + timedelta(minutes=20))


def test_each_closed_link_says_why(cast):
    with pytest.raises(LinkUnknown):
        actions.open_link("no such token", AT)
    with pytest.raises(LinkExpired):
        actions.open_link(cast.tokens["expired"], LATER)
    with pytest.raises(LinkRevoked):
        actions.open_link(cast.tokens["revoked"], AT)
    assert actions.open_link(cast.tokens["inspector"], AT) == cast.links["inspector"]


def test_no_token_is_kept_or_recorded(cast):
    token = cast.tokens["inspector"]
    assert len(token) == 43
    assert token not in str([(d.body, d.actor, d.subject) for d in decisions(cast.project.stream)])
    assert cast.links["inspector"].token_sha256 != token


def test_guessing_tokens_ends_after_twenty_wrong_ones_from_one_address(cast):
    for _ in range(20):
        with pytest.raises(LinkUnknown):
            actions.open_link("wrong", AT, address="203.0.113.9")
    for token in ("wrong", cast.tokens["inspector"]):
        with pytest.raises(TooManyAttempts) as refused:
            actions.open_link(token, AT + timedelta(minutes=4), address="203.0.113.9")
        assert refused.value.reasons == (Reason("too many attempts", {"minutes": 6}),)
    assert actions.open_link(cast.tokens["inspector"], AT, address="203.0.113.10")
    assert actions.open_link(cast.tokens["inspector"], AT + timedelta(minutes=10), address="203.0.113.9")


def test_right_tokens_are_not_counted(cast):
    for _ in range(30):
        actions.open_link(cast.tokens["inspector"], AT, address="203.0.113.9")


def test_asking_for_links_is_limited_per_account_and_per_address_and_tells_nobody_who_has_one(cast):
    answers = [
        actions.ask_for_sign_in(email, "203.0.113.9", AT)
        for email in ("Owner@site.example ", "no@site.example")
    ]
    assert (answers[0][0], answers[1]) == (cast.people["owner"], None)
    for email in ("owner@site.example", "no@site.example"):
        for n in range(4):
            actions.ask_for_sign_in(email, f"203.0.113.{n}", AT)
        with pytest.raises(TooManyAttempts):
            actions.ask_for_sign_in(email, "203.0.113.77", AT + timedelta(minutes=59))
        actions.ask_for_sign_in(email, "203.0.113.77", AT + timedelta(minutes=61))
    for n in range(30):
        actions.ask_for_sign_in(f"{n}@site.example", "198.51.100.1", AT)
    with pytest.raises(TooManyAttempts):
        actions.ask_for_sign_in("fresh@site.example", "198.51.100.1", AT)


def test_streams_of_two_suppliers_are_apart(cast, other):
    assert set(Chain.objects.values_list("stream", flat=True)) == {
        f"supplier:{cast.supplier.uid}",
        f"supplier:{other.supplier.uid}",
        cast.project.stream,
        other.project.stream,
    }
