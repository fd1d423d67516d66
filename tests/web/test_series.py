"""A series of readings on the screens: typed into a grid or pasted, judged at once, refused cell by cell, nothing lost."""

import uuid
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from coordination.evidence.models import Evidence
from coordination.web.shapes.needs import tolerance_words
from tests.gates.series_sites import SURVEY, SURVEYED, WARMTH, WHOLE, asked, measured, with_series
from tests.gates.sites import BACKING, Site, build
from tests.web.pressing import forms_on, send
from tests.web.worked_site import NOW, browse, page, words

__all__ = ["browse"]
HTMX = {"HX-Request": "true"}
GRID = {
    "cell:landing-1:left-a": '6"', "cell:landing-1:north": '7"', "cell:landing-2:left-a": '6 1/4"',
    "cell:landing-2:north": "177,8 mm",
}  # fmt: skip


@pytest.fixture
def site(db: Any, monkeypatch: pytest.MonkeyPatch) -> Site:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    return measured()


@pytest.fixture
def client(site: Site, browse: Any) -> Client:
    return browse("framer")


def opened(client: Client, site: Site) -> Any:
    return client.get(page(site, "my-task", site.task(BACKING.key).uid))


def form_of(client: Client, site: Site, need: str) -> Any:
    shown = opened(client, site)
    return next(
        form for form in forms_on(shown) if str(site.need(need).uid) in form.action and form.fields.get("key")
    )


def post(client: Client, site: Site, need: str, **more: Any) -> Any:
    told = {"key": str(uuid.uuid4()), "terms": site.need(need).terms_sha, "instrument": "laser", **more}
    return client.post(page(site, "my-handing-in", site.need(need).uid), told, headers=HTMX)


def check(client: Client, site: Site, need: str, **more: Any) -> str:
    answer = client.post(page(site, "reading-check", site.need(need).uid), more)
    assert answer.status_code == 200
    return words(answer)


def test_the_grid_has_a_field_for_every_level_and_wall_with_its_own_label(site: Site, client: Client) -> None:
    form = form_of(client, site, SURVEY)
    assert [name for name in form.fields if name.startswith("cell:")] == list(GRID)
    told = words(opened(client, site))
    assert 'along one line, from one level to another, at most 1/2"' in told
    for label in ("Landing 1, Left wall", "Landing 2, North wall"):
        assert label in told


def test_a_whole_grid_is_handed_in_without_script_as_one_piece_of_evidence(
    site: Site, client: Client
) -> None:
    send(client, form_of(client, site, SURVEY), **GRID, instrument="laser 4")
    row = Evidence.objects.get()
    assert [cell["value"] for cell in row.value["cells"]] == [152400000, 177800000, 158750000, 177800000]
    assert (row.in_tolerance, row.instrument) == (True, "laser 4")
    told = words(opened(client, site))
    assert 'Out of plumb by 1/4"; 4 readings, read with laser 4' in told
    assert 'Landing 2 6 1/4", inside 7" (177,8 mm), inside' in told


def test_pressed_twice_it_is_one_series(site: Site, client: Client) -> None:
    form = form_of(client, site, SURVEY)
    send(client, form, **GRID)
    send(client, form, **GRID)
    assert Evidence.objects.count() == 1


@pytest.mark.parametrize("pasted", [WHOLE, '\tNorth wall\tLeft wall\nPiso 2\t7"\t6 1/4"\nPiso 1\t7"\t6"\n'])
def test_pasted_lines_are_handed_in_as_they_come(site: Site, client: Client, pasted: str) -> None:
    answer = post(client, site, SURVEY, pasted=pasted)
    assert answer.status_code == 200, words(answer)
    assert Evidence.objects.get().value["figure"] == 6350000


def test_pasted_lines_can_be_put_into_the_grid_first(site: Site, client: Client) -> None:
    answer = post(client, site, SURVEY, pasted=WHOLE, fill="1", **{"cell:landing-1:left-a": '5"'})
    assert (answer.status_code, Evidence.objects.count()) == (422, 0)
    again = next(form for form in forms_on(answer) if "pasted" in form.fields)
    assert again.fields["cell:landing-1:left-a"] == ['6"']
    assert again.fields["pasted"] == [""]
    assert "It stands in the grid now" in words(answer)


def test_a_cell_that_cannot_be_read_is_named_and_everything_typed_stays(site: Site, client: Client) -> None:
    pasted = 'Landing 2\t6 1/4"\t4 foot 14\nCellar\t3"\t3"\n'
    answer = post(
        client, site, SURVEY, pasted=pasted, **{"cell:landing-1:left-a": '6"', "cell:landing-1:north": "7"}
    )
    assert (answer.status_code, Evidence.objects.count()) == (422, 0)
    told = words(answer)
    assert "Landing 2, North wall: 4 foot 14 is no length that can be read" in told
    assert "Cellar is no row that is asked for here" in told
    again = next(form for form in forms_on(answer) if "pasted" in form.fields)
    assert [again.fields[name] for name in GRID] == [['6"'], ["7"], ['6 1/4"'], ["4 foot 14"]]
    assert again.fields["pasted"] == ['Cellar\t3"\t3"']


def test_an_empty_grid_is_refused(site: Site, client: Client) -> None:
    answer = post(client, site, SURVEY)
    assert (answer.status_code, Evidence.objects.count()) == (422, 0)
    assert "Type what was read, or paste it." in words(answer)


def test_every_cell_is_judged_at_once_in_words(site: Site, client: Client) -> None:
    told = check(client, site, SURVEY, **{**GRID, "cell:landing-2:left-a": '6 9/16"'})
    assert 'Out of plumb by 9/16"; 4 readings: outside the tolerance' in told
    assert 'Outside: Landing 1, Left wall: 6" Landing 2, Left wall: 6 9/16"' in told
    assert told.endswith("outside inside outside inside")
    told = check(client, site, SURVEY, **{**GRID, "cell:landing-2:north": ""})
    assert "inside the tolerance" in told
    assert "Not read yet: Landing 2, North wall." in told


def test_what_is_left_empty_is_said_when_it_is_handed_in(site: Site, client: Client) -> None:
    answer = post(client, site, SURVEY, **{"cell:landing-1:left-a": '6"'})
    assert "Handed in; 3 readings are still missing." in words(answer)
    form = form_of(client, site, SURVEY)
    assert form.fields["cell:landing-1:left-a"] == ['6"']
    send(client, form, **GRID)
    assert Evidence.objects.filter(in_tolerance=True).count() == 1


def test_temperatures_over_days_carry_their_own_moments(site: Site, client: Client) -> None:
    told = {
        "when:0": "2026-03-02T07:00", "cell:0:plate": "60", "cell:0:edge": "55 F",
        "when:1": "2026-03-03T07:30", "cell:1:plate": "11 °C", "cell:1:edge": "48",
    }  # fmt: skip
    assert "The lowest reading is 48 °F; 4 readings: outside the tolerance" in check(
        client, site, WARMTH, **told
    )
    answer = post(client, site, WARMTH, **told)
    assert answer.status_code == 200
    assert Evidence.objects.get().value["rows"] == ["2026-03-02T07:00", "2026-03-03T07:30"]
    form = form_of(client, site, WARMTH)
    assert (form.fields["when:1"], form.fields["cell:1:edge"]) == (["2026-03-03T07:30"], ["48"])


def test_a_day_that_cannot_be_read_stays_as_it_was_typed(site: Site, client: Client) -> None:
    answer = post(
        client, site, WARMTH, **{"when:0": "last Monday", "cell:0:plate": "60", "cell:1:plate": "61"}
    )
    assert answer.status_code == 422
    again = next(form for form in forms_on(answer) if "pasted" in form.fields)
    assert (again.fields["when:0"], again.fields["cell:0:plate"]) == (["last Monday"], ["60"])
    assert "last Monday is no day and hour" in words(answer)


def test_it_can_be_pasted_in_spanish(site: Site, client: Client) -> None:
    client.cookies["django_language"] = "es"
    answer = post(client, site, SURVEY, pasted='\tMuro norte\tMuro izquierdo\nPiso 1\t7"\t6"\nPiso 2\t7"\t6"')
    assert answer.status_code == 200


def test_the_reviewer_sees_every_reading(site: Site, browse: Any) -> None:
    site.read(SURVEY, "framer", WHOLE)
    told = words(
        browse("coordinator").get(
            reverse("reviews", args=[site.project.uid]) + f"?look={site.need(SURVEY).uid}"
        )
    )
    assert 'Every reading Where Left wall North wall Landing 1 6", inside 7", inside' in told


def test_a_stranger_checks_nothing(site: Site, browse: Any) -> None:
    address = page(site, "reading-check", site.need(SURVEY).uid)
    assert browse("other electrician").post(address, GRID).status_code == 404


def test_a_grid_costs_as_many_queries_as_a_single_reading(
    site: Site, client: Client, django_assert_max_num_queries: Any
) -> None:
    opened(client, site)
    site.read(SURVEY, "framer", WHOLE)
    with django_assert_max_num_queries(45):
        opened(client, site)


def test_what_only_an_authorised_person_reads_asks_for_that_persons_name(db: Any, monkeypatch: Any) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    site = build("", with_series(asked("survey", SURVEYED, authorised=True)))
    site.start(BACKING.key, "framer")
    client = Client()
    client.force_login(site.cast.people["framer"])
    assert form_of(client, site, SURVEY).fields["taken_by"] == ["Bo Tran"]
    answer = post(client, site, SURVEY, **GRID)
    assert (answer.status_code, Evidence.objects.count()) == (422, 0)
    assert "Only a named authorised person does this." in words(answer)
    assert post(client, site, SURVEY, **GRID, taken_by="Ida Marsh").status_code == 200
    assert "Bo Tran; taken by Ida Marsh" in words(opened(client, site))


def test_the_limits_of_a_plans_own_requirement_are_said_as_on_its_card() -> None:
    need = asked("survey", SURVEYED, high=12_700_000)
    assert tolerance_words(vars(need), "us") == 'along one line, from one level to another, at most 1/2"'
