"""As planned against as built at the screens."""

import io
import re
import uuid
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from coordination.dates.actions import ask_for_baseline
from coordination.dates.models import Baseline, DelayCause
from tests.gates.sites import BACKING, Site, build
from tests.standing_cast import AT, NOBODYS, gather
from tests.web.worked_site import words

QUERIES = 22
START = AT.date()


@pytest.fixture
def site(db: Any, monkeypatch: pytest.MonkeyPatch) -> Site:
    """A site with a baseline of the day on which the job began; the screens' clock is a week on."""
    site = build()
    site.state("calendar.start", START.isoformat())
    ask_for_baseline(site.project, site.who("contractor"), site.step(), reason="agreed on site", today=START)
    later = site.step(days=7)
    monkeypatch.setattr("django.utils.timezone.now", lambda: later)
    return site


def browser(site: Site, name: str = "contractor") -> Client:
    client = Client()
    client.force_login(site.cast.people[name])
    return client


def at(site: Site, name: str = "delay") -> str:
    return reverse(name, args=[site.project.uid])


def cause(**altered: Any) -> dict[str, Any]:
    told = {
        "task": BACKING.key,
        "kind": "weather",
        "first": START.isoformat(),
        "days": "2",
        "words": "Rain on the frame",
    }
    return {"doing": "cause", "key": str(uuid.uuid4()), **told, **altered}


@pytest.mark.parametrize("name", ["electrician", "other electrician", "left", "owner", "stranger"])
def test_it_is_for_those_who_see_the_whole_site(site: Site, name: str) -> None:
    other = Client()
    other.force_login(gather("other.").people["coordinator"])
    for client in (browser(site, name), other):
        assert client.get(at(site)).status_code == 404
        assert client.get(at(site, "delay-pdf")).status_code == 404
        assert client.post(at(site), cause()).status_code == 404
    assert not DelayCause.objects.exists()


@pytest.mark.parametrize("link", ["owner", "inspector", "framer", "revoked", "expired"])
def test_no_link_opens_it(site: Site, client: Client, link: str) -> None:
    client.post(reverse("link", args=[site.cast.tokens[link]]))
    assert client.get(at(site)).status_code == 404
    assert client.post(at(site), cause()).status_code == 404


def test_the_lift_crew_reads_and_writes_nothing(site: Site) -> None:
    client = browser(site, "crew")
    assert "Enter a cause" not in words(client.get(at(site)))
    assert client.post(at(site), cause()).status_code == 404
    assert not DelayCause.objects.exists()


def test_it_says_how_the_end_moved_and_by_which_rule(site: Site) -> None:
    answer = browser(site).get(at(site))
    text, page = words(answer), answer.content.decode()
    for said in (
        "when the first baseline was kept", "From “agreed on site”", "begun later than it could be: backing",
        "Copper Creek Framing", "shared by the Shapley value", "for the contract and the people to settle",
        "Gates as planned and as built", "in all",
    ):  # fmt: skip
        assert said in text
    for word in ("fault", "blame", "guilt", "liab"):
        assert word not in text.lower()
    assert len(re.findall(r'class="picture picture-(?:end|gates)-(?:sheet|phone)"', page)) == 4
    assert "style=" not in page.partition("<main")[2].partition("</main>")[0]


def test_a_cause_is_entered_once_shown_and_taken_back(site: Site) -> None:
    client, sent = browser(site), cause()
    for _press in (1, 2):
        assert client.post(at(site), sent).status_code == 302
    row = DelayCause.objects.get()
    text = words(client.get(at(site)))
    assert "weather: backing Rain on the frame" in text.replace("  ", " ")
    assert "nobody on site" in text
    for _press in (1, 2):
        assert client.post(at(site), {"doing": "back", "cause": str(row.uid)}).status_code == 302
    assert "Rain on the frame" not in words(client.get(at(site)))
    for swapped in (str(NOBODYS), "x", ""):
        assert client.post(at(site), {"doing": "back", "cause": swapped}).status_code == 404
    assert client.post(at(site), {"doing": "x"}).status_code == 404
    record = words(client.get(reverse("record", args=[site.project.uid])))
    assert "entered what held up “backing”" in record
    assert "took back what was entered as holding up “backing”" in record


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"task": "x@pit"}, "Select a valid choice."),
        ({"days": "0"}, "Ensure this value is greater than or equal to 1."),
        ({"words": " "}, "This field is required."),
        ({"first": "2026-05-01"}, "2026-05-01 has not come yet; a cause is entered once it has happened."),
        ({"first": "soon"}, "Enter a valid date."),
        ({"kind": "hail"}, "Select a valid choice."),
    ],
)
def test_wrong_input_is_named_and_nothing_is_kept(site: Site, wrong: dict[str, Any], said: str) -> None:
    answer = browser(site).post(at(site), cause(**wrong))
    assert (answer.status_code, said in words(answer)) == (422, True)
    assert 'role="alert"' in answer.content.decode()
    assert not DelayCause.objects.exists()


def test_a_baseline_is_kept_with_its_reason(site: Site) -> None:
    client = browser(site)
    assert client.post(at(site), {"doing": "baseline", "reason": ""}).status_code == 422
    assert client.post(at(site), {"doing": "baseline", "reason": "second meeting"}).status_code == 302
    assert list(Baseline.objects.order_by("number").values_list("reason", flat=True)) == [
        "agreed on site",
        "second meeting",
    ]


def test_a_site_without_a_baseline_says_what_to_do(site: Site) -> None:
    bare = build("bare.")
    answer = browser(bare).get(at(bare))
    assert "No baseline has been kept yet." in words(answer)


def test_it_costs_a_fixed_number_of_queries(site: Site, django_assert_num_queries: Any) -> None:
    client = browser(site)
    client.get(at(site))
    with django_assert_num_queries(QUERIES):
        client.get(at(site))
    for number in (1, 2, 3):
        client.post(at(site), cause(words=f"Rain {number}"))
    client.get(at(site))
    with django_assert_num_queries(QUERIES):
        client.get(at(site))


def test_on_paper_it_says_the_same(site: Site) -> None:
    answer = browser(site).get(at(site, "delay-pdf"))
    assert answer["Content-Type"] == "application/pdf"
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages)
    text = " ".join(text.split())
    for said in (
        "As planned, as built",
        "Copper Creek Framing",
        "Shapley value",
        "Gates as planned and as built",
    ):
        assert said in text
