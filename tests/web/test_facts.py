"""Site facts at the screens: who enters them, what is kept of what was typed, what is entered at all."""

import re
from typing import Any

import pytest
from django.urls import reverse

from coordination.projects.actions import FactInput, enter_facts
from coordination.projects.models import FactEntry
from coordination.projects.queries import standing_facts
from coordination.record.models import Event
from tests.standing_cast import LATER, Cast

QUERIES = 9


def page(cast: Cast) -> str:
    return reverse("facts", args=[cast.project.uid])


def fields_of(answer: Any) -> dict[str, Any]:
    """Everything the form would send as it was shown."""
    sent: dict[str, Any] = {"seen": str(answer.context["seen"])}
    for group in answer.context["groups"]:
        for row in group.rows:
            sent |= {
                row.key: row.typed.split(", ") if row.widget == "boxes" else row.typed,
                f"{row.key}:state": row.state,
                f"{row.key}:source": row.source,
                f"{row.key}:said_by": row.said_by,
            }
    return sent


def enter(cast: Cast, **facts: FactInput) -> None:
    told = {key.replace("__", "."): fact for key, fact in facts.items()}
    enter_facts(cast.project, cast.visitor("coordinator", LATER), LATER, told)


def standing(cast: Cast, key: str) -> tuple[Any, ...]:
    fact = standing_facts(cast.project)[key]
    return (fact.state, fact.typed, fact.said_by, fact.source)


def test_typing_into_an_unknown_fact_makes_it_known_and_enters_nothing_else(
    cast: Cast, signed_in: Any
) -> None:
    client = signed_in("coordinator")
    sent = fields_of(client.get(page(cast))) | {"pit.depth": '14"'}
    assert client.post(page(cast), sent).status_code == 302
    assert standing(cast, "pit.depth") == ("known", '14"', "Ida Marsh", "")
    assert list(FactEntry.objects.values_list("key", flat=True)) == ["pit.depth"]


def test_sending_the_page_as_it_was_shown_changes_nothing(cast: Cast, signed_in: Any) -> None:
    enter(
        cast,
        pit__depth=FactInput(typed='14"', source="sheet A-4", said_by="Bo Tran"),
        calendar__working_days=FactInput(typed=["mon", "tue"]),
        pit__sump=FactInput(typed=True),
        code__building=FactInput(typed=2021),
    )
    client, before = signed_in("coordinator"), Event.objects.count()
    client.post(page(cast), fields_of(client.get(page(cast))))
    assert Event.objects.count() == before


def test_a_new_value_is_not_left_in_the_name_of_who_said_the_old_one(cast: Cast, signed_in: Any) -> None:
    enter(cast, pit__depth=FactInput(typed='14"', source="sheet A-4", said_by="Bo Tran"))
    client = signed_in("coordinator")
    sent = fields_of(client.get(page(cast))) | {"pit.depth": '15"'}
    client.post(page(cast), sent)
    assert standing(cast, "pit.depth") == ("known", '15"', "Ida Marsh", "")


def test_a_source_alone_is_put_to_the_value_that_stands(cast: Cast, signed_in: Any) -> None:
    enter(cast, pit__depth=FactInput(typed='14"', said_by="Bo Tran"))
    client = signed_in("coordinator")
    client.post(page(cast), fields_of(client.get(page(cast))) | {"pit.depth:source": "sheet A-4"})
    assert standing(cast, "pit.depth") == ("known", '14"', "Bo Tran", "sheet A-4")


def test_a_fact_that_turns_unknown_lets_its_value_go(cast: Cast, signed_in: Any) -> None:
    enter(cast, pit__depth=FactInput(typed='14"'))
    client = signed_in("coordinator")
    client.post(page(cast), fields_of(client.get(page(cast))) | {"pit.depth:state": "unknown"})
    assert standing(cast, "pit.depth")[:2] == ("unknown", "")


def test_everything_wrong_is_said_at_its_place_and_nothing_typed_is_lost(cast: Cast, signed_in: Any) -> None:
    client = signed_in("coordinator")
    wrong = {
        "pit.depth": "fourteen",
        "hoistway.width": "5' 6\"",
        "power.nameplate_amps": "lots",
        "pit.sump:state": "known",
    }
    answer = client.post(page(cast), fields_of(client.get(page(cast))) | wrong)
    said = {row.key: row.errors for row in answer.context["form"] if row.errors}
    assert (answer.status_code, FactEntry.objects.count()) == (422, 0)
    assert set(said) == {"pit.depth", "power.nameplate_amps", "pit.sump"}
    assert said["pit.depth"] == ['"fourteen" is not a length: write 9\' 4 1/2", 14" or 2857 mm.']
    text = answer.content.decode()
    assert [text.count(f'value="{typed}"') for typed in ("fourteen", "lots")] == [1, 1]
    assert 'value="5&#x27; 6&quot;"' in text
    assert [group.key for group in answer.context["groups"] if group.open] == ["pit", "power"]


def test_what_cannot_be_together_is_said_too(cast: Cast, signed_in: Any) -> None:
    client = signed_in("coordinator")
    wrong = {"landing.1.elevation": "100'", "landing.2.elevation": "90'"}
    answer = client.post(page(cast), fields_of(client.get(page(cast))) | wrong)
    assert (answer.status_code, FactEntry.objects.count()) == (422, 0)
    assert [row.key for row in answer.context["form"] if row.errors] != []


def test_what_somebody_else_entered_meanwhile_is_not_overwritten_unseen(cast: Cast, signed_in: Any) -> None:
    client = signed_in("coordinator")
    sent = fields_of(client.get(page(cast))) | {"pit.depth": '15"'}
    enter(
        cast,
        pit__depth=FactInput(typed='14"', said_by="Bo Tran"),
        pit__sump=FactInput(typed="no", said_by="Bo Tran"),
    )
    answer = client.post(page(cast), sent)
    assert answer.status_code == 422
    [row] = [row for row in answer.context["form"] if row.errors]
    assert row.errors == ["In the meantime Bo Tran entered 1' 2\". Send again to enter yours instead."]
    again = fields_of(answer)
    assert (again["pit.depth"], again["pit.sump"], again["pit.sump:state"]) == ('15"', "no", "known")
    assert client.post(page(cast), again).status_code == 302
    assert standing(cast, "pit.depth")[:2] == ("known", '15"')
    assert standing(cast, "pit.sump")[:3] == ("known", "no", "Bo Tran")


def test_pressing_twice_enters_once(cast: Cast, signed_in: Any) -> None:
    client = signed_in("coordinator")
    sent = fields_of(client.get(page(cast))) | {"pit.depth": '14"'}
    client.post(page(cast), sent)
    client.post(page(cast), sent)
    assert FactEntry.objects.filter(key="pit.depth").count() == 1


def test_an_unknown_key_and_a_wrong_state_are_no_way_in(cast: Cast, signed_in: Any) -> None:
    client = signed_in("coordinator")
    sent = {"nonsense": "1", "nonsense:state": "known", "pit.depth": '14"', "pit.depth:state": "sure"}
    client.post(page(cast), {"seen": "x", **sent})
    assert list(FactEntry.objects.values_list("key", "state")) == [("pit.depth", "known")]


@pytest.mark.parametrize("name", ["contractor", "crew"])
def test_others_who_see_the_site_read_the_facts(cast: Cast, signed_in: Any, name: str) -> None:
    enter(cast, pit__depth=FactInput(typed='14"', source="sheet A-4", said_by="Bo Tran"))
    client = signed_in(name)
    text = client.get(page(cast)).content.decode()
    assert "Bo Tran, sheet A-4" in text
    assert re.findall(r"<(?:select|input)[^>]*name=\"pit", text) == []
    assert client.post(page(cast), {"pit.depth": '15"', "pit.depth:state": "known"}).status_code == 404


@pytest.mark.parametrize("name", ["electrician", "framer", "left", "owner", "stranger"])
def test_for_everybody_else_the_page_is_not_there(cast: Cast, signed_in: Any, name: str) -> None:
    client = signed_in(name)
    assert [client.get(page(cast)).status_code, client.post(page(cast), {}).status_code] == [404, 404]


def test_nor_for_another_suppliers_coordinator_or_a_link(
    cast: Cast, other_cast: Cast, signed_in: Any, came_by_link: Any
) -> None:
    assert signed_in("coordinator").get(page(other_cast)).status_code == 404
    assert came_by_link("framer").get(page(cast)).status_code == 404


def test_the_groups_say_in_words_what_is_open(cast: Cast, signed_in: Any) -> None:
    enter(
        cast,
        pit__depth=FactInput(typed='14"', state="assumed"),
        calendar__start=FactInput(typed="2026-04-01"),
    )
    groups = {group.key: group for group in signed_in("contractor").get(page(cast)).context["groups"]}
    assert groups["pit"].count == "11 unknown, 1 assumed of 12"
    assert groups["calendar"].count == "3 unknown of 4"


def test_the_page_costs_the_same_however_many_facts_stand(
    cast: Cast, signed_in: Any, django_assert_num_queries: Any
) -> None:
    client = signed_in("coordinator")
    enter(cast, pit__depth=FactInput(typed='14"'))
    with django_assert_num_queries(QUERIES):
        client.get(page(cast))
    enter(cast, pit__sump=FactInput(typed="no"), power__volts=FactInput(typed="230"))
    with django_assert_num_queries(QUERIES):
        client.get(page(cast))
