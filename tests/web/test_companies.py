"""Companies and people at the screens: who names them, who leaves, what is refused and why."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from coordination.access.models import Assignment, Company, Membership, Person
from coordination.access.queries import assignments, members
from coordination.record.models import Event
from tests.standing_cast import Cast

QUERIES = 10


def page(cast: Cast) -> str:
    return reverse("companies", args=[cast.project.uid])


def assign(cast: Cast, company: str = "other electrician", trade: str = "electrical") -> dict[str, str]:
    told = {"doing": "assign", "trade": trade, "company": str(cast.companies[company].uid)}
    return {**told, "confirmed": "yes"}


def member(cast: Cast, **altered: str) -> dict[str, str]:
    told = {"name": "New Hand", "email": "new.hand@site.example", "phone": "555-0300"}
    company = str(cast.companies["framer"].uid)
    return {
        "doing": "member",
        **told,
        "company": company,
        "role": "subcontractor",
        "trade": "framing",
        **altered,
    }


def leave(cast: Cast, name: str) -> dict[str, str]:
    return {"doing": "leave", "member": str(cast.memberships[name].uid)}


@pytest.mark.parametrize("name", ["coordinator", "contractor"])
def test_a_trade_is_given_to_another_company_once(cast: Cast, signed_in: Any, name: str) -> None:
    client, before = signed_in(name), Event.objects.count()
    assert [client.post(page(cast), assign(cast)).status_code for _ in range(2)] == [302, 302]
    assert assignments(cast.project)["electrical"].name == "Cold Spring Electric"
    assert Event.objects.count() == before + 1


def test_a_company_is_added_once_and_other_particulars_are_refused(cast: Cast, signed_in: Any) -> None:
    client = signed_in("contractor")
    told = {"doing": "company", "name": "Otter Doors", "phone": "555-0400", "signs_in": "on"}
    assert [client.post(page(cast), told).status_code for _ in range(2)] == [302, 302]
    assert Company.objects.filter(name="Otter Doors").count() == 1
    answer = client.post(page(cast), {**told, "phone": "555-9999"})
    assert answer.status_code == 422
    assert "There is already a company called Otter Doors" in answer.content.decode()
    assert 'value="555-9999"' in answer.content.decode()


def test_who_does_not_sign_in_is_said(cast: Cast, signed_in: Any) -> None:
    client = signed_in("contractor")
    client.post(page(cast), {"doing": "company", "name": "Otter Doors"})
    company = Company.objects.get(name="Otter Doors")
    client.post(page(cast), {"doing": "assign", "trade": "door hardware", "company": str(company.uid)})
    [line] = [line for line in client.get(page(cast)).context["trades"] if line.key == "door hardware"]
    assert (line.name, line.company.signs_in) == ("Doors and hardware", False)
    assert "Does not sign in" in client.get(page(cast)).content.decode()


def reach(cast: Cast, trade: str = "framing", company: str = "framer", **how: str) -> dict[str, str]:
    told = {"doing": "reach", "line": trade, "company": str(cast.companies[company].uid)}
    return {**told, "contact": "Bo Tran", "phone": "555-0142", "email": "office@copper.example", **how}


@pytest.mark.parametrize("name", ["coordinator", "contractor"])
def test_how_a_company_is_reached_is_written_down_where_its_telephone_stands(
    cast: Cast, signed_in: Any, name: str
) -> None:
    client, before = signed_in(name), Event.objects.count()
    assert "no e-mail: no notice is mailed to them" in client.get(page(cast)).content.decode()
    assert [client.post(page(cast), reach(cast)).status_code for _ in range(2)] == [302, 302]
    assert Event.objects.count() == before + 1
    text = client.get(page(cast)).content.decode()
    assert 'href="mailto:office@copper.example"' in text
    assert "Notices go to it while nobody of theirs has an account" in text
    lines = {line.key: line for line in client.get(page(cast)).context["trades"]}
    assert (lines["framing"].company.email, lines["framing"].company.contact) == (
        "office@copper.example",
        "Bo Tran",
    )


def test_an_address_that_is_none_opens_its_own_line_again(cast: Cast, signed_in: Any) -> None:
    before = Event.objects.count()
    answer = signed_in("contractor").post(page(cast), reach(cast, email="office at copper"))
    assert (answer.status_code, list(answer.context["form"].errors), Event.objects.count()) == (
        422,
        ["email"],
        before,
    )
    bound = {line.key for line, form in answer.context["rows"] if form and form.is_bound}
    assert bound == {"framing"}
    assert 'value="office at copper"' in answer.content.decode()


def test_the_crew_reads_the_address_and_nobody_else_writes_one(cast: Cast, signed_in: Any) -> None:
    signed_in("coordinator").post(page(cast), reach(cast))
    crew = signed_in("crew")
    assert "office@copper.example" in crew.get(page(cast)).content.decode()
    assert crew.post(page(cast), reach(cast, email="x@y.example")).status_code == 404
    assert signed_in("framer").post(page(cast), reach(cast)).status_code == 404
    assert (
        signed_in("contractor").post(page(cast), reach(cast, company="other electrician")).status_code == 404
    )
    assert Company.objects.get(pk=cast.companies["framer"].pk).email == "office@copper.example"


def test_somebody_is_added_and_stands(cast: Cast, signed_in: Any) -> None:
    client = signed_in("contractor")
    assert [client.post(page(cast), member(cast)).status_code for _ in range(2)] == [302, 302]
    [added] = [each for each in members(cast.project) if each.name == "New Hand"]
    assert (added.role, added.trade, added.company.name) == (
        "subcontractor",
        "framing",
        "Copper Creek Framing",
    )


@pytest.mark.parametrize(
    ("altered", "field"),
    [
        ({"email": "new.hand"}, "email"),
        ({"name": " "}, "name"),
        ({"trade": ""}, "trade"),
        ({"trade": "magic"}, "trade"),
        ({"role": "coordinator"}, "role"),
        ({"role": "lift crew"}, "role"),
        ({"company": "00000000-0000-4000-8000-000000000000"}, "company"),
    ],
)
def test_what_cannot_be_names_its_field_and_leaves_nothing(
    cast: Cast, signed_in: Any, altered: dict[str, str], field: str
) -> None:
    before = (Person.objects.count(), Event.objects.count())
    answer = signed_in("contractor").post(page(cast), member(cast, **altered))
    assert (answer.status_code, list(answer.context["form"].errors)) == (422, [field])
    assert (Person.objects.count(), Event.objects.count()) == before


def test_a_coordinator_may_add_for_the_supplier(cast: Cast, signed_in: Any) -> None:
    company = str(cast.companies["supplier"].uid)
    told = member(cast, role="lift crew", trade="lift", company=company)
    assert signed_in("coordinator").post(page(cast), told).status_code == 302


def test_a_coordinator_adds_another_who_then_coordinates(cast: Cast, signed_in: Any) -> None:
    company = str(cast.companies["supplier"].uid)
    told = member(cast, role="coordinator", trade="", company=company, email="second@lift.example")
    assert signed_in("coordinator").post(page(cast), told).status_code == 302
    client = Client()
    client.force_login(Person.objects.get(email="second@lift.example"))
    answers = [client.get(reverse(name, args=[cast.project.uid])) for name in ("facts", "companies")]
    assert [(answer.status_code, answer.context["visitor"].role) for answer in answers] == [
        (200, "coordinator"),
        (200, "coordinator"),
    ]
    assert client.get(reverse("new-site")).status_code == 200


def test_a_company_of_another_supplier_is_no_choice(cast: Cast, other_cast: Cast, signed_in: Any) -> None:
    foreign = {**assign(cast), "company": str(other_cast.companies["electrician"].uid)}
    before = Assignment.objects.count()
    assert signed_in("coordinator").post(page(cast), foreign).status_code == 422
    assert Assignment.objects.count() == before


def test_somebody_leaves_and_sees_nothing_any_more(cast: Cast, signed_in: Any) -> None:
    client = signed_in("contractor")
    sent = leave(cast, "crew")
    assert client.post(page(cast), leave(cast, "owner")).status_code == 302
    assert client.post(page(cast), sent).status_code == 403
    assert signed_in("coordinator").post(page(cast), sent).status_code == 302
    assert signed_in("crew").get(page(cast)).status_code == 404


def test_nobody_ends_a_standing_on_another_project(cast: Cast, other_cast: Cast, signed_in: Any) -> None:
    sent = leave(other_cast, "framer")
    assert signed_in("coordinator").post(page(cast), sent).status_code == 404
    assert Membership.objects.get(uid=sent["member"]).left_at is None


def test_the_last_coordinator_stays_and_is_told_why(cast: Cast, signed_in: Any) -> None:
    [me] = [each for each in members(cast.project) if each.role == "coordinator"]
    answer = signed_in("coordinator").post(page(cast), {"doing": "leave", "member": str(me.uid)})
    assert answer.status_code == 422
    assert "Ida Marsh is the last coordinator; name another one first." in answer.content.decode()


@pytest.mark.parametrize("doing", ["", "everything"])
def test_nothing_named_does_nothing(cast: Cast, signed_in: Any, doing: str) -> None:
    assert signed_in("coordinator").post(page(cast), {"doing": doing}).status_code == 422


def test_the_lift_crew_reads_only(cast: Cast, signed_in: Any) -> None:
    client = signed_in("crew")
    assert "<form class" not in client.get(page(cast)).content.decode()
    assert [client.post(page(cast), sent).status_code for sent in (assign(cast), member(cast))] == [404, 404]


@pytest.mark.parametrize("name", ["electrician", "framer", "left", "owner", "stranger"])
def test_for_everybody_else_the_page_is_not_there(cast: Cast, signed_in: Any, name: str) -> None:
    client = signed_in(name)
    assert [client.get(page(cast)).status_code, client.post(page(cast), assign(cast)).status_code] == [
        404,
        404,
    ]


def test_it_costs_the_same_however_many_stand(
    cast: Cast, signed_in: Any, django_assert_num_queries: Any
) -> None:
    client = signed_in("coordinator")
    client.get(page(cast))
    with django_assert_num_queries(QUERIES):
        client.get(page(cast))
    for n in range(2):
        client.post(page(cast), member(cast, email=f"n{n}@site.example"))
        client.post(page(cast), {"doing": "company", "name": f"Company {n}"})
    client.get(page(cast))
    with django_assert_num_queries(QUERIES):
        client.get(page(cast))
