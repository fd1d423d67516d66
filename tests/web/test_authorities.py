"""Authorities and working days: who may write them down, what is kept, what is refused by name."""

from datetime import date
from typing import Any

import pytest
from django.urls import reverse

from coordination.projects.models import Authority, Calendar, FactEntry
from coordination.record.models import Event
from tests.standing_cast import Cast

OFFICE = {
    "kind": "fire",
    "name": "Harbor fire marshal",
    "phone": "555-0177",
    "permit": "F-12",
    "permit_on": "2026-02-20",
    "notice": "3",
    "inspections": "rough-in\r\n\r\n final ",
}


def page(cast: Cast, name: str = "authorities") -> str:
    return reverse(name, args=[cast.project.uid])


@pytest.mark.parametrize("who", ["coordinator", "contractor"])
def test_an_authority_is_written_down_once(cast: Cast, signed_in: Any, who: str) -> None:
    client = signed_in(who)
    assert client.post(page(cast), OFFICE).status_code == 302
    before = Event.objects.count()
    assert client.post(page(cast), OFFICE).status_code == 302
    assert Event.objects.count() == before
    row = Authority.objects.get(project=cast.project, kind="fire")
    assert (row.name, row.phone, row.permit, row.permit_on, row.notice_days, row.inspections) == (
        "Harbor fire marshal",
        "555-0177",
        "F-12",
        date(2026, 2, 20),
        3,
        ["rough-in", "final"],
    )
    shown = client.get(page(cast)).content.decode()
    for words in (
        "Harbor fire marshal",
        "tel:",
        "permit F-12",
        "to be asked 3 days ahead",
        "rough-in, final",
    ):
        assert words in shown


def test_what_is_left_empty_among_the_facts_stays_and_whose_word_it_was(cast: Cast, signed_in: Any) -> None:
    signed_in("coordinator").post(page(cast), OFFICE)
    told = {"kind": "fire", "phone": "", "inspections": "final", "notice": "3", "name": "", "permit": "F-12"}
    assert signed_in("contractor").post(page(cast), told).status_code == 302
    row = Authority.objects.get(project=cast.project, kind="fire")
    assert (row.name, row.permit, row.notice_days) == ("Harbor fire marshal", "F-12", 3)
    assert (row.phone, row.permit_on, row.inspections) == ("", None, ["final"])
    who = FactEntry.objects.filter(project=cast.project, key__startswith="authority.fire")
    assert set(who.values_list("said_by", flat=True)) == {cast.visitor("coordinator").name}


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"permit_on": "20 Feb"}, "permit_on"),
        ({"notice": "-1"}, "notice"),
        ({"notice": "soon"}, "notice"),
        ({"kind": "harbour"}, "kind"),
        ({"name": "x" * 121}, "name"),
        ({"inspections": "\n".join("abcdefghijklm")}, "inspections"),
    ],
)
def test_what_cannot_be_is_named_and_leaves_nothing(
    cast: Cast, signed_in: Any, wrong: dict[str, str], field: str
) -> None:
    before = Event.objects.count()
    answer = signed_in("contractor").post(page(cast), {**OFFICE, **wrong})
    assert (answer.status_code, list(answer.context["form"].errors)) == (422, [field])
    assert (Event.objects.count(), Authority.objects.count()) == (before, 0)


@pytest.mark.parametrize("name", ["authorities", "working-days"])
def test_the_crew_reads_and_others_see_nothing(cast: Cast, signed_in: Any, name: str) -> None:
    crew = signed_in("crew")
    assert (crew.get(page(cast, name)).status_code, crew.post(page(cast, name), OFFICE).status_code) == (
        200,
        404,
    )
    assert "<form class=" not in crew.get(page(cast, name)).content.decode()
    for who in ("electrician", "left", "owner", "stranger"):
        client = signed_in(who)
        assert [
            client.get(page(cast, name)).status_code,
            client.post(page(cast, name), OFFICE).status_code,
        ] == [
            404,
            404,
        ]


def test_working_days_are_set_once_and_taken_back(cast: Cast, signed_in: Any) -> None:
    client, told = (
        signed_in("contractor"),
        {"calendar": "lift", "weekdays": ["0", "1", "5"], "closed": "2026-12-24, 2026-12-23", "opened": ""},
    )
    assert [client.post(page(cast, "working-days"), told).status_code for _ in range(2)] == [302, 302]
    row = Calendar.objects.get(project=cast.project)
    assert (row.key, row.weekdays, row.closed, row.opened) == (
        "lift",
        [0, 1, 5],
        ["2026-12-23", "2026-12-24"],
        [],
    )
    assert Event.objects.filter(verb="calendar set").count() == 1
    assert "Monday, Tuesday, Saturday" in client.get(page(cast, "working-days")).content.decode()
    client.post(page(cast, "working-days"), {"calendar": "lift"})
    row.refresh_from_db()
    assert (row.weekdays, row.closed) == (None, [])


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"closed": "24 Dec"}, "“24 Dec” is not a day. Write it like 2026-12-24."),
        ({"closed": "2026-12-24", "opened": "2026-12-24"}, "cannot be both without work and with work"),
        ({"weekdays": ["7"]}, "Select a valid choice"),
        ({"calendar": "moon"}, "Select a valid choice"),
    ],
)
def test_days_that_cannot_be_are_named(cast: Cast, signed_in: Any, wrong: Any, said: str) -> None:
    answer = signed_in("contractor").post(page(cast, "working-days"), {"calendar": "site", **wrong})
    assert answer.status_code == 422
    words = answer.content.decode() + str(answer.context["form"].errors)
    assert said in words
    assert not Calendar.objects.exists()
