"""The sheet of a task for the site's people: entering for others, withdrawing, conceding, taking back."""

import datetime
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from coordination.evidence.models import Evidence, Review
from coordination.gates.models import Answer, Concession, Voice
from tests.gates.sites import BACKING, RAILS, ROUGH, Site, build, picture
from tests.standing_cast import NOBODYS
from tests.web.worked_site import FOR_THE_SITES_PEOPLE, begun, browse, by_link, key, page, site, words

__all__ = ["begun", "browse", "by_link", "site"]
LEFT, SPREAD, CARD = "backing@rail-wall#left", "backing@rail-wall#spread", "rough@pit#inspection"
QUERIES = 43


def sheet(site: Site, task: str = BACKING.key) -> str:
    return page(site, "task", site.task(task).uid)


def do(client: Client, site: Site, verb: str, task: str = BACKING.key, **told: Any) -> Any:
    return client.post(page(site, "task-doing", site.task(task).uid, verb), told)


def doing(client: Client, site: Site, verb: str, need: str, **told: Any) -> Any:
    return client.post(page(site, "requirement-doing", site.need(need).uid, verb), told)


@FOR_THE_SITES_PEOPLE
def test_who_sees_the_sheet(site: Site, browse: Any, name: str, status: int) -> None:
    assert browse(name).get(sheet(site)).status_code == status


def test_what_is_no_task_of_this_site_is_not_there(site: Site, browse: Any) -> None:
    far = build("far.")
    client = browse("coordinator")
    for uid in (far.task(BACKING.key).uid, NOBODYS, site.gate("close-in").task.uid):
        assert client.get(page(site, "task", uid)).status_code == 404


def test_it_names_what_comes_before_and_after(site: Site, browse: Any) -> None:
    around = browse("contractor").get(sheet(site)).context["neighbours"]
    assert around.before == ()
    assert [(line.name, line.note) for line in around.after] == [
        ("board", "hides this: this must be accepted first, Cold Spring Electric"),
        ("rails", "begins after this, with a handoff, Low Rise Lift Supply"),
    ]


def test_held_work_names_who_owes_what_with_their_telephone(site: Site, browse: Any) -> None:
    answer = browse("contractor").get(sheet(site, "board@rail-wall"))
    owed = {(line.owner, line.phone) for line in answer.context["sheet"].start_missing}
    assert ("Copper Creek Framing", "555-0142") in owed


# entered by X for Y


def test_beginning_for_a_company_names_its_source(site: Site, browse: Any) -> None:
    client = browse("contractor")
    bare = do(client, site, "start", source="", company="Copper Creek Framing")
    assert (bare.status_code, site.task(BACKING.key).begun_on) == (422, None)
    assert "Say where the entry for Copper Creek Framing came from" in words(bare)
    silent = do(client, site, "start")
    assert (silent.status_code, "Say that you enter it for them" in words(silent)) == (422, True)
    other = do(client, site, "start", source="call", company="Juniper Electric")
    assert (other.status_code, site.task(BACKING.key).begun_on) == (422, None)
    assert do(client, site, "start", source="call, 9 am", company="Copper Creek Framing").status_code == 302
    assert site.task(BACKING.key).begun_on is not None


def test_a_photo_that_was_texted_says_who_entered_it_for_whom(begun: Site, browse: Any) -> None:
    told = {"key": key(), "company": "Copper Creek Framing"}
    client = browse("contractor")
    bare = doing(client, begun, "hand-in", LEFT, **told, photos=SimpleUploadedFile("a.jpg", picture()))
    assert (bare.status_code, Evidence.objects.count()) == (422, 0)
    assert "Say where it came from" in words(bare)
    good = {**told, "source": "texted photo, Bo Tran", "photos": SimpleUploadedFile("a.jpg", picture())}
    assert doing(client, begun, "hand-in", LEFT, **good).status_code == 302
    row = Evidence.objects.get()
    assert (row.sender_name, row.entered_for, row.entry_source) == (
        "Ana Ruiz",
        "Copper Creek Framing",
        "texted photo, Bo Tran",
    )
    shown = words(client.get(sheet(begun)))
    assert "entered by Ana Ruiz for Copper Creek Framing (texted photo, Bo Tran)" in shown


def test_ones_own_work_is_not_entered_for_anybody(site: Site, browse: Any) -> None:
    answer = browse("contractor").get(sheet(site, "sweep@pit"))
    assert answer.context["sheet"].for_company is None
    assert 'name="source"' not in answer.content.decode()


def test_the_crew_may_look_but_not_enter(begun: Site, browse: Any) -> None:
    answer = browse("crew").get(sheet(begun))
    assert [card.form for card in answer.context["cards"]] == [None, None]
    told = {"key": key(), "typed": '30"', "company": "Copper Creek Framing", "source": "call"}
    assert doing(browse("crew"), begun, "hand-in", SPREAD, **told).status_code == 403
    assert Evidence.objects.count() == 0


def test_an_authoritys_document_has_its_number_and_date(site: Site, browse: Any) -> None:
    site.start(ROUGH.key, "electrician")
    client, told = browse("contractor"), {"key": key()}
    bare = doing(client, site, "document", CARD, **told, document=SimpleUploadedFile("c.jpg", picture()))
    said = words(bare)
    assert bare.status_code == 422
    assert "Give the number that stands on the authority’s document." in said
    assert "Give the date that stands on the authority’s document." in said
    good = {"number": "E-77", "dated": "2026-03-02", "document": SimpleUploadedFile("c.jpg", picture())}
    assert doing(client, site, "document", CARD, **told, **good).status_code == 302
    assert Evidence.objects.get().dated == datetime.date(2026, 3, 2)
    [card] = [card for card in client.get(sheet(site, ROUGH.key)).context["cards"] if card.need.release]
    assert card.need.state == "released"


def test_nobody_of_the_trade_attaches_it(site: Site, browse: Any) -> None:
    site.start(ROUGH.key, "electrician")
    told = {"key": key(), "number": "E-77", "dated": "2026-03-02"}
    posted = {**told, "document": SimpleUploadedFile("c.jpg", picture())}
    assert (
        browse("electrician").post(page(site, "my-handing-in", site.need(CARD).uid), posted).status_code
        == 403
    )
    assert Evidence.objects.count() == 0


def test_an_answer_for_a_company_that_does_not_sign_in(begun: Site, browse: Any) -> None:
    begun.photo(LEFT, "framer"), begun.read(SPREAD, "framer", '30"')
    offer = begun.offer(BACKING.key, "framer")
    client, address = (
        browse("contractor"),
        page(begun, "handoff-answer", offer.uid, begun.task(RAILS.key).uid),
    )
    bare = client.post(address, {"outcome": "accepted", "source": "", "company": "Low Rise Lift Supply"})
    assert (bare.status_code, Answer.objects.count()) == (422, 0)
    told = {"outcome": "accepted", "source": "call, Lou", "company": "Low Rise Lift Supply"}
    assert client.post(address, told).status_code == 302
    assert Answer.objects.get().entered_for == "Low Rise Lift Supply"


# withdrawing, taking back, conceding


def test_withdrawing_needs_a_reason_and_keeps_the_row(begun: Site, browse: Any) -> None:
    row = begun.photo(LEFT, "framer")
    client = browse("contractor")
    assert doing(client, begun, "withdraw", LEFT, evidence=row.uid, reason="").status_code == 422
    assert doing(client, begun, "withdraw", LEFT, evidence="x", reason="wrong wall").status_code == 422
    for _press in range(2):
        assert (
            doing(client, begun, "withdraw", LEFT, evidence=row.uid, reason="wrong wall").status_code == 302
        )
    row.refresh_from_db()
    assert row.withdrawn_at is not None
    [figure] = client.get(sheet(begun)).context["cards"][0].need.figures
    assert figure.state == "withdrawn"


def test_evidence_of_another_requirement_is_not_withdrawn_here(begun: Site, browse: Any) -> None:
    row = begun.photo(LEFT, "framer")
    answer = doing(browse("contractor"), begun, "withdraw", SPREAD, evidence=row.uid, reason="swapped")
    row.refresh_from_db()
    assert (answer.status_code, row.withdrawn_at) == (404, None)


def test_an_acceptance_is_taken_back_with_reasons(begun: Site, browse: Any) -> None:
    begun.photo(LEFT, "framer"), begun.review(LEFT, "contractor")
    client = browse("contractor")
    assert doing(client, begun, "take-back", LEFT).status_code == 422
    assert doing(client, begun, "take-back", LEFT, words="It was the other wall.").status_code == 302
    assert [row.outcome for row in Review.objects.order_by("pk")] == ["accepted", "refused"]
    doings = client.get(sheet(begun)).context["cards"][0].doings
    assert [(word.state, word.by, word.reasons) for word in doings.said] == [
        ("refused", "Ana Ruiz", ("It was the other wall.",)),
        ("accepted", "Ana Ruiz", ()),
    ]


def test_a_concession_stands_once_everybody_named_has_spoken(begun: Site, browse: Any) -> None:
    begun.read(SPREAD, "framer", '33"')
    told = {"reason": "shims ordered", "scope": "left side"}
    assert doing(browse("contractor"), begun, "concede", SPREAD, reason="").status_code == 422
    assert doing(browse("contractor"), begun, "concede", SPREAD, **told).status_code == 302
    asked = browse("coordinator").get(sheet(begun)).context["cards"][1].doings.asked_for
    assert (asked.reason, asked.lacking) == ("shims ordered", "coordinator")
    assert doing(browse("coordinator"), begun, "concede", SPREAD, **told).status_code == 302
    assert (Concession.objects.count(), Voice.objects.count()) == (1, 2)
    need = browse("coordinator").get(sheet(begun)).context["cards"][1].need
    assert need.state == "conceded"
    assert need.concession.startswith("shims ordered; for: left side; granted by Ana Ruiz")


def test_what_only_an_authority_releases_has_no_concession(site: Site, browse: Any) -> None:
    site.start(ROUGH.key, "electrician")
    answer = doing(browse("coordinator"), site, "concede", CARD, reason="late", scope="all")
    assert (answer.status_code, Concession.objects.count()) == (422, 0)
    assert "only the authority's own document releases it" in words(answer).replace("’", "'")


@pytest.mark.parametrize("verb", ["hand-in", "review", "withdraw", "take-back", "concede"])
@pytest.mark.parametrize("name", ["electrician", "owner", "left", "stranger"])
def test_for_others_there_is_no_such_place(begun: Site, browse: Any, name: str, verb: str) -> None:
    assert doing(browse(name), begun, verb, SPREAD, outcome="accepted", reason="x").status_code == 404


def test_there_are_no_other_verbs(begun: Site, browse: Any) -> None:
    assert doing(browse("contractor"), begun, "paint", LEFT).status_code == 404
    assert (
        browse("contractor").get(page(begun, "requirement-doing", begun.need(LEFT).uid, "review")).status_code
        == 405
    )


def test_a_sheet_costs_the_same_with_one_photo_and_three(
    begun: Site, browse: Any, django_assert_num_queries: Any
) -> None:
    begun.photo(LEFT, "framer")
    client = browse("contractor")
    client.get(sheet(begun))
    with django_assert_num_queries(QUERIES):
        client.get(sheet(begun))
    begun.photo(LEFT, "framer"), begun.photo(LEFT, "framer")
    with django_assert_num_queries(QUERIES):
        assert len(client.get(sheet(begun)).context["cards"][0].need.figures) == 3
