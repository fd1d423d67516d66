"""One visit at the screens: go or no-go, what each day costs, the statement, the word that lets the crew come."""

import io
import uuid
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from coordination.dates.models import Confirmation, SiteStatement, Visit, VisitTerms
from coordination.dates.visit_terms import terms_of
from coordination.evidence.models import Evidence
from coordination.record.models import Event
from tests.gates.sites import Site
from tests.gates.visit_sites import CHARGE, book, finish_the_gate, show_the_site, visiting_site
from tests.standing_cast import LATER

QUERIES = 35
TERMS = {
    "doing": "terms",
    "lead_days": "2",
    "free_cancellation_days": "3",
    "confirm_days": "2",
    "wasted_trip": "1850",
    "waiting_day": "220.50",
}


@pytest.fixture
def site(db: Any, now: Any) -> Site:
    return visiting_site()


def page(site: Site, visit: str = "rails", name: str = "visit") -> str:
    return reverse(name, args=[site.project.uid, visit])


def pressed(client: Client, site: Site) -> dict[str, str]:
    """What the button of the statement sends, as it reads now."""
    form = client.get(page(site, name="site-ready")).context["sign_form"]
    told = {"booking": str(Visit.objects.get(moved_at=None).uid), "words": "The site is ready."}
    if form is not None:
        told |= {name: str(form.initial[name]) for name in ("digest", "charge")}
    return told


def sign(client: Client, site: Site, **altered: str) -> Any:
    return client.post(page(site, name="site-ready"), pressed(client, site) | altered)


def confirm(client: Client, site: Site) -> Any:
    booking = str(Visit.objects.get(moved_at=None).uid)
    return client.post(page(site), {"doing": "confirm", "booking": booking})


def test_a_visit_says_no_go_and_what_can_be_done_about_it(site: Site, seen_by: Any) -> None:
    answer = seen_by("crew").get(page(site))
    text = answer.content.decode()
    assert "<h2>No-go</h2>" in text
    assert [(line.sentence, line.owner, line.phone) for line in answer.context["missing_lines"]] == [
        ("Backing has not begun", "Copper Creek Framing", "555-0142")
    ]
    assert "no day is advised" in text
    assert (answer.context["cheapest"], answer.context["pictures"]) == (None, {})


def test_terms_are_entered_once_and_the_curve_follows(site: Site, seen_by: Any) -> None:
    client, before = seen_by("coordinator"), Event.objects.count()
    assert [client.post(page(site), TERMS).status_code for _ in range(2)] == [302, 302]
    assert (Event.objects.count(), VisitTerms.objects.count()) == (before + 1, 1)
    agreed = terms_of([site.project])[site.project.pk, "rails"]
    assert (agreed.lead_days, agreed.wasted_trip_cents, agreed.waiting_day_cents) == (2, 185_000, 22_050)
    answer = client.get(page(site))
    lines, picture = answer.context["days"], answer.context["pictures"]["sheet"]
    assert picture.count("<circle") == len(lines)
    assert [line.day for line in lines if line.cheapest] == [answer.context["cheapest"]["day"]]
    assert lines[0].day == "Fri 6 Mar 2026"
    assert 'aria-labelledby="cost-title cost-desc"' in picture
    assert "It counts once the list above is clear." in answer.content.decode()


def test_any_day_can_be_asked_for(site: Site, seen_by: Any) -> None:
    client = seen_by("contractor")
    early = client.get(page(site), {"day": "2026-03-05"})
    assert early.context["chosen"]["wasted"] == "100 of 100 runs"
    assert client.get(page(site), {"day": "2026-06-01"}).context["chosen"]["wasted"] == "0 of 100 runs"
    for wrong in ("soon", "2026-03-03", "2040-01-01"):
        answer = client.get(page(site), {"day": wrong})
        assert (answer.status_code, answer.context["chosen"]) == (200, None)
        assert "Choose a day from today on" in answer.content.decode()


@pytest.mark.parametrize(
    ("altered", "said"),
    [
        ({"lead_days": ""}, "This field is required."),
        ({"confirm_days": "-1"}, "greater than or equal to 0"),
        ({"wasted_trip": "a lot"}, "Enter a number."),
        ({"lead_days": "999"}, "less than or equal to 250"),
    ],
)
def test_terms_that_cannot_be_are_said(site: Site, seen_by: Any, altered: dict[str, str], said: str) -> None:
    answer = seen_by("coordinator").post(page(site), {**TERMS, **altered})
    assert (answer.status_code, VisitTerms.objects.count()) == (422, 0)
    assert said in answer.content.decode()


def test_the_contractor_signs_one_page_and_the_coordinator_lets_the_crew_come(
    site: Site, seen_by: Any
) -> None:
    book(site)
    show_the_site(site)
    contractor, coordinator = seen_by("contractor"), seen_by("coordinator")
    answer = contractor.get(page(site, name="site-ready"))
    assert "the general contractor is charged 1,850.00" in answer.content.decode()
    proof = {line.name: line.proof for line in answer.context["statement"].lines}
    assert proof["Backing"].startswith("done Mon 2 Mar; 1 photo; 2' 6\"; accepted by Ana Ruiz, Ida Marsh")
    assert sorted(proof) == ["Backing", "Photo"]
    told = pressed(contractor, site)
    presses = [contractor.post(page(site, name="site-ready"), told).status_code for _ in range(2)]
    assert presses == [302, 302]
    signed = SiteStatement.objects.get()
    assert (signed.charge_cents, signed.words, signed.signed_name) == (
        CHARGE,
        "The site is ready.",
        "Ana Ruiz",
    )
    assert confirm(coordinator, site).status_code == 422
    finish_the_gate(site)
    assert [confirm(coordinator, site).status_code for _ in range(2)] == [302, 302]
    assert Confirmation.objects.get().name == "Ida Marsh"
    assert "Ida Marsh has told the crew to come." in coordinator.get(page(site)).content.decode()


def test_a_confirmation_is_refused_with_everything_that_is_missing(site: Site, seen_by: Any) -> None:
    book(site)
    before, answer = Event.objects.count(), confirm(seen_by("coordinator"), site)
    text = answer.content.decode()
    assert (answer.status_code, Event.objects.count()) == (422, before)
    assert "Backing has not begun" in text
    assert "has not signed the site-ready statement" in text
    assert "Confirm: the crew comes" not in text


def test_nothing_is_signed_while_proof_is_missing_or_moved_on(site: Site, seen_by: Any) -> None:
    book(site)
    contractor = seen_by("contractor")
    assert sign(contractor, site, digest="0" * 64, charge="0").status_code == 422
    show_the_site(site)
    answer = sign(contractor, site, charge="100")
    assert "read it again, then sign" in answer.content.decode()
    assert "Say what you sign for." in sign(contractor, site, words=" ").content.decode()
    assert (sign(contractor, site, digest="x").status_code, SiteStatement.objects.count()) == (422, 0)


def test_stale_proof_shows_as_void_on_every_page(site: Site, seen_by: Any) -> None:
    book(site)
    show_the_site(site)
    sign(seen_by("contractor"), site)
    line = seen_by("crew").get(page(site)).context["statement"]
    assert (line.state, line.words, line.why) == ("accepted", "signed by Ana Ruiz", "")
    photo = Evidence.objects.get(requirement=site.need("site-ready@site#swept-pit"))
    site.withdraw(photo, "contractor", "there is water in the pit")
    for name in ("visit", "site-ready"):
        text = seen_by("crew").get(page(site, name=name)).content.decode()
        assert "signed by Ana Ruiz, void" in text
        assert "What it rests on has changed since." in text


def test_the_statement_is_a_pdf_of_one_page(site: Site, seen_by: Any) -> None:
    assert seen_by("crew").get(page(site, name="site-ready-pdf")).status_code == 404
    book(site)
    show_the_site(site)
    sign(seen_by("contractor"), site)
    answer = seen_by("crew").get(page(site, name="site-ready-pdf"))
    reader = PdfReader(io.BytesIO(answer.content))
    text = " ".join(reader.pages[0].extract_text().split())
    assert (len(reader.pages), answer.headers["Content-Type"]) == (1, "application/pdf")
    for words in (
        "1,850.00",
        "Mon 16 Mar 2026",
        "Signed: Ana Ruiz, Tern Hill Builders",
        "no permission to enter",
    ):
        assert words in text


@pytest.mark.parametrize("name", ["visit", "site-ready", "site-ready-pdf"])
@pytest.mark.parametrize("who", ["framer", "electrician", "left", "owner", "stranger"])
def test_for_others_the_pages_are_not_there(site: Site, seen_by: Any, who: str, name: str) -> None:
    book(site)
    assert seen_by(who).get(page(site, name=name)).status_code == 404


@pytest.mark.parametrize("name", ["visit", "site-ready", "site-ready-pdf"])
def test_a_visit_that_is_none_is_not_there(site: Site, seen_by: Any, name: str) -> None:
    assert seen_by("coordinator").get(page(site, "party", name)).status_code == 404


def test_only_those_who_may_press_and_ids_of_others_are_not_there(site: Site, seen_by: Any) -> None:
    book(site)
    show_the_site(site)
    far = visiting_site("far.")
    foreign = str(book(far).uid)
    for who in ("contractor", "crew", "framer"):
        assert seen_by(who).post(page(site), TERMS).status_code == 404
    for who in ("coordinator", "crew", "framer"):
        told = {"booking": str(Visit.objects.first().uid), "words": "x", "digest": "0" * 64, "charge": "0"}
        assert seen_by(who).post(page(site, name="site-ready"), told).status_code == 404
    for uid in (foreign, str(uuid.uuid4()), "x"):
        sent = {"doing": "confirm", "booking": uid}
        assert seen_by("coordinator").post(page(site), sent).status_code == 404
        told = {"booking": uid, "words": "x", "digest": "0" * 64, "charge": "0"}
        assert seen_by("contractor").post(page(site, name="site-ready"), told).status_code == 404
    assert seen_by("coordinator").post(page(site), {"doing": "dance"}).status_code == 404
    assert (SiteStatement.objects.count(), Confirmation.objects.count()) == (0, 0)


def test_the_page_costs_the_same_however_much_there_is(
    site: Site, seen_by: Any, django_assert_num_queries: Any
) -> None:
    client = seen_by("coordinator")
    book(site)
    for turn in range(2):
        client.get(page(site))
        with django_assert_num_queries(QUERIES):
            client.get(page(site))
        if not turn:
            show_the_site(site)
            client.post(page(site), TERMS)
            book(site, date(2026, 4, 1), key="return")


def test_the_list_of_visits_says_how_sure_each_is(site: Site, seen_by: Any) -> None:
    answer = seen_by("crew").get(reverse("visits", args=[site.project.uid]))
    lines = {line.key: line for line, _form in answer.context["visits"]}
    assert lines["rails"].sure.startswith("8 of 10 runs are ready for the crew by ")
    assert lines["rails"].href == page(site)
    assert LATER.date() == date(2026, 3, 4)


def test_a_visit_is_called_off_once_and_its_day_stays_readable(site: Site, seen_by: Any) -> None:
    visit, client = book(site), seen_by("coordinator")
    text = client.get(page(site)).content.decode()
    assert "Free of charge until Mon 9 Mar 2026." in text
    before, sent = Event.objects.count(), {"doing": "call off", "booking": str(visit.uid)}
    assert [client.post(page(site), sent).status_code for _ in range(2)] == [302, 302]
    assert Event.objects.count() == before + 1
    visit.refresh_from_db()
    assert visit.moved_at is not None
    assert "not booked" in client.get(page(site)).content.decode()
    book(site, date(2026, 3, 18))
    assert "earlier booked for Mon 16 Mar" in client.get(page(site)).content.decode()
    for who in ("contractor", "crew"):
        assert seen_by(who).post(page(site), sent).status_code == 404
