"""What every answer carries, and the pages of the frame."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.test import Client
from django.urls import path, reverse

from coordination.access.permissions import NotAllowed
from coordination.access.refusals import CannotBeSo, NotVisible, Reason
from coordination.gates.refusals import GateNotReady
from coordination.web import urls as web_urls
from coordination.web.refused import refusal_context
from coordination.web.templatetags.sheet import tel
from coordination.web.words import LOOKS
from tests.gates.sites import build

COMPONENTS = Path(__file__).resolve().parents[2] / "templates" / "components"


def _refusing(fault: Exception) -> Callable[[HttpRequest], HttpResponse]:
    def view(request: HttpRequest) -> HttpResponse:
        raise fault

    return view


FAULTS = {
    "not-visible": NotVisible(),
    "not-allowed": NotAllowed("change facts"),
    "cannot-be": CannotBeSo(Reason("no name"), Reason("no such zone", {"typed": "Mars"})),
    "broken": RuntimeError("a fault of ours"),
}
handler404 = "django.views.defaults.page_not_found"
urlpatterns = [*web_urls.urlpatterns, *(path(name, _refusing(fault)) for name, fault in FAULTS.items())]


@pytest.mark.parametrize("address", ["/sign-in", "/sign-in/sent", "/help", "/no/such/page"])
def test_the_security_policy_is_strict_everywhere(client: Client, db: None, address: str) -> None:
    headers = client.get(address).headers
    policy = headers["Content-Security-Policy"]
    assert policy.startswith("default-src 'none'; script-src 'self'; style-src 'self';")
    assert "unsafe" not in policy
    assert "*" not in policy
    assert (headers["X-Content-Type-Options"], headers["Referrer-Policy"]) == ("nosniff", "same-origin")


@pytest.mark.parametrize("address", ["/sign-in", "/sign-in/sent", "/help", "/no/such/page"])
def test_every_page_has_one_heading_a_way_past_the_head_and_a_language(
    client: Client, db: None, address: str
) -> None:
    page = client.get(address).content.decode()
    assert page.count("<h1>") == 1
    assert re.findall(r'<html lang="([^"]+)">', page) == ["en-us"]
    assert '<a class="skip" href="#content">' in page
    assert '<main class="sheet-main" id="content" tabindex="-1">' in page


def test_script_may_not_evaluate_and_refusals_are_shown(client: Client, db: None) -> None:
    page = client.get("/sign-in").content.decode()
    assert '"allowEval":false,"selfRequestsOnly":true,"includeIndicatorStyles":false' in page
    assert '{"code":"422","swap":true}' in page


@pytest.mark.urls(__name__)
@pytest.mark.parametrize(
    ("address", "status", "words"),
    [
        ("not-visible", 404, ["Nothing is here for you"]),
        ("not-allowed", 403, ["This is not yours to do", "Nothing was changed"]),
        ("cannot-be", 422, ["Give a name.", "Mars is not a time zone"]),
    ],
)
def test_what_the_floors_refuse_is_said_in_words(
    client: Client, db: None, address: str, status: int, words: list[str]
) -> None:
    answer = client.get(f"/{address}")
    assert answer.status_code == status
    assert [word for word in words if word not in answer.content.decode()] == []


@pytest.mark.urls(__name__)
def test_a_part_of_a_page_gets_the_reasons_alone(client: Client, db: None) -> None:
    answer = client.get("/cannot-be", headers={"HX-Request": "true"})
    assert (answer.status_code, answer.headers["HX-Retarget"]) == (422, "#refused")
    assert answer.headers["HX-Reselect"] == ".errors"
    assert "<html" not in answer.content.decode()
    assert "Give a name." in answer.content.decode()


def test_what_is_missing_is_listed_with_who_owes_it(db: None) -> None:
    site = build()
    with pytest.raises(GateNotReady) as refused:
        site.clear("close-in")
    context = refusal_context(refused.value, site.who("contractor"), site.at)
    page = render_to_string("components/errors.html", context)
    assert "Backing has not begun" in page
    assert 'href="tel:5550142"' in page
    assert context["reasons"] == []


@pytest.mark.urls(__name__)
def test_a_fault_of_ours_is_admitted(db: None) -> None:
    answer = Client(raise_request_exception=False).get("/broken")
    assert answer.status_code == 500
    assert "Something broke on our side" in answer.content.decode()
    assert "a fault of ours" not in answer.content.decode()


def test_the_components_are_shown_only_while_debugging(client: Client, db: None, settings: Any) -> None:
    assert client.get(reverse("components")).status_code == 404
    settings.DEBUG = True
    assert client.get(reverse("components")).status_code == 200


def test_every_component_and_every_state_is_shown(client: Client, db: None, settings: Any) -> None:
    settings.DEBUG = True
    answer = client.get(reverse("components"))
    shown = {template.name for template in answer.templates if template.name}
    assert {f"components/{file.name}" for file in COMPONENTS.iterdir()} - shown - {
        "components/messages.html"
    } == set()
    page = answer.content.decode()
    assert [state for state, look in LOOKS.items() if f">{look.word}</span>" not in page] == []
    drawn = set(re.findall(r'<symbol id="mark-([a-z]+)"', page))
    assert drawn == {look.mark for look in LOOKS.values()} | {"plumb", "phone"}


def test_the_index_shows_what_the_role_may_see(cast: Any, client: Client) -> None:
    from coordination.web.sheets import INDEX, index_for

    for name in ("coordinator", "owner"):
        lines = index_for(cast.visitor(name), "project")
        assert len({line.href for line in lines}) == len(lines)
    assert len({sheet.name for sheet in INDEX}) == len(INDEX)
    assert [line.current for line in index_for(cast.visitor("owner"), "standing")] == [True, False]
    assert index_for(cast.visitor("owner"), "standing")[1].label == "Papers"


@pytest.mark.parametrize(
    ("written", "dialled"),
    [
        ("(555) 555-0142", "tel:5555550142"),
        ("+1 555-555-0142", "tel:+15555550142"),
        ("555-0142 x12", "tel:5550142,12"),
        ("555.0142", "tel:5550142"),
    ],
)
def test_a_phone_number_can_be_pressed(written: str, dialled: str) -> None:
    assert tel(written) == dialled
