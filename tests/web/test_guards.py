"""Who gets past the first line of a view, and as whom."""

import uuid
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
from django.contrib.auth.models import AnonymousUser
from django.http import Http404
from django.test import RequestFactory
from django.utils import timezone

from coordination.web.guards import guard
from tests.standing_cast import NOBODYS, Cast


@pytest.fixture
def asks(cast: Cast) -> Callable[..., Any]:
    """A request of somebody signed in, or of a browser that has opened links."""

    def ask(person: str = "", links: tuple[str, ...] = ()) -> Any:
        request = RequestFactory().get("/")
        request.user = cast.people[person] if person else AnonymousUser()
        request.session = {"links": [str(cast.links[name].uid) for name in links]}  # type: ignore[assignment]
        return request

    return ask


@pytest.mark.parametrize(
    ("person", "role"),
    [
        ("coordinator", "coordinator"),
        ("contractor", "contractor"),
        ("crew", "lift crew"),
        ("electrician", "subcontractor"),
        ("owner", "owner"),
    ],
)
def test_a_member_is_let_in_as_what_they_are(cast: Cast, asks: Any, person: str, role: str) -> None:
    request = asks(person)
    visitor = guard(request, cast.project.uid)
    assert (visitor.role, visitor.identity) == (role, f"person:{cast.people[person].uid}")
    assert request.visitor is visitor
    assert str(timezone.get_current_timezone()) == "America/New_York"


@pytest.mark.parametrize("person", ["left", "stranger", ""])
def test_nobody_else_is(cast: Cast, asks: Any, person: str) -> None:
    with pytest.raises(Http404):
        guard(asks(person), cast.project.uid)


@pytest.mark.parametrize(
    ("link", "role"), [("framer", "subcontractor"), ("owner", "owner"), ("inspector", "inspector")]
)
def test_a_link_lets_in(cast: Cast, asks: Any, link: str, role: str) -> None:
    visitor = guard(asks(links=(link,)), cast.project.uid)
    assert (visitor.role, visitor.identity) == (role, f"link:{cast.links[link].uid}")


@pytest.mark.parametrize("link", ["expired", "revoked"])
def test_a_link_that_ended_does_not(cast: Cast, asks: Any, link: str) -> None:
    with pytest.raises(Http404):
        guard(asks(links=(link,)), cast.project.uid)


def test_the_link_opened_last_counts(cast: Cast, asks: Any) -> None:
    visitor = guard(asks(links=("framer", "electrician")), cast.project.uid)
    assert visitor.company_name == "Juniper Electric"


def test_of_two_subs_of_a_trade_only_the_assigned_one_has_it(cast: Cast, asks: Any) -> None:
    trades = [guard(asks(name), cast.project.uid).trades for name in ("electrician", "other electrician")]
    assert trades == [frozenset({"electrical"}), frozenset()]


def test_a_right_that_the_role_lacks_looks_like_no_project(cast: Cast, asks: Any) -> None:
    assert guard(asks("coordinator"), cast.project.uid, "change facts").role == "coordinator"
    with pytest.raises(Http404):
        guard(asks("contractor"), cast.project.uid, "change facts")


def test_one_of_several_rights_is_enough(cast: Cast, asks: Any) -> None:
    assert (
        guard(asks("contractor"), cast.project.uid, "change facts", "answer a question").role == "contractor"
    )


@pytest.mark.parametrize("uid", [NOBODYS, uuid.UUID(int=1)])
def test_a_project_that_is_not_there(cast: Cast, asks: Any, uid: uuid.UUID) -> None:
    with pytest.raises(Http404):
        guard(asks("coordinator"), uid)


def test_another_suppliers_coordinator_is_a_stranger(cast: Cast, other_cast: Cast) -> None:
    request = SimpleNamespace(user=other_cast.people["coordinator"], session={})
    with pytest.raises(Http404):
        guard(request, cast.project.uid)  # type: ignore[arg-type]
