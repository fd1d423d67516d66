"""The small job of the gates' tests, seen in browsers."""

import re
import uuid
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.gates.sites import BACKING, Site, build
from tests.standing_cast import AT

TAGS = re.compile(r"<svg.*?</svg>|<[^>]+>|\s+", re.S)
NOW = AT + timedelta(days=3)
FOR_THE_SITES_PEOPLE = pytest.mark.parametrize(
    ("name", "status"),
    [
        ("coordinator", 200),
        ("contractor", 200),
        ("crew", 200),
        ("framer", 404),
        ("owner", 404),
        ("left", 404),
        ("stranger", 404),
    ],
)


def words(answer: Any) -> str:
    """What a page says, without its tags and drawings."""
    return (
        " ".join(TAGS.sub(" ", answer.content.decode()).split()).replace("&#x27;", "'").replace("&quot;", '"')
    )


@pytest.fixture
def site(db: Any, monkeypatch: pytest.MonkeyPatch) -> Site:
    """The job; the screens' clock is three days on, so that links sent for a day have expired."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    return build()


@pytest.fixture
def begun(site: Site) -> Site:
    """The framer is at the backing."""
    site.start(BACKING.key, "framer")
    return site


@pytest.fixture
def browse(site: Site) -> Callable[[str], Client]:
    """A browser in which one of the cast is signed in."""

    def as_somebody(name: str) -> Client:
        client = Client()
        client.force_login(site.cast.people[name])
        return client

    return as_somebody


@pytest.fixture
def by_link(site: Site) -> Callable[[str], Client]:
    """A browser that came by one of the cast's links."""

    def with_token(name: str) -> Client:
        client = Client()
        client.post(reverse("link", args=[site.cast.tokens[name]]))
        return client

    return with_token


def page(site: Site, name: str, *more: Any) -> str:
    return reverse(name, args=[site.project.uid, *more])


def key() -> str:
    return str(uuid.uuid4())
