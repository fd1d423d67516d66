"""The standing cast at the screens: browsers in which somebody is signed in or has come by a link."""

from collections.abc import Callable, Iterator
from datetime import datetime
from typing import Any

import pytest
from django.contrib.staticfiles.handlers import StaticFilesHandler
from django.test import Client
from django.test.testcases import LiveServerThread
from django.urls import reverse

from tests.gates.sites import Site, build
from tests.standing_cast import LATER, Cast, gather
from tests.web.sites import browser


@pytest.fixture
def now(monkeypatch: pytest.MonkeyPatch) -> datetime:
    """Two days after the cast has gathered: one link has expired."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: LATER)
    return LATER


@pytest.fixture
def cast(db: Any, now: datetime) -> Cast:
    return gather()


@pytest.fixture
def other_cast(cast: Cast) -> Cast:
    """The same people's doubles with another supplier."""
    return gather("other.")


@pytest.fixture
def signed_in(cast: Cast) -> Callable[[str], Client]:
    """A browser in which one of the cast is signed in."""

    def browse(name: str) -> Client:
        client = Client()
        client.force_login(cast.people[name])
        return client

    return browse


@pytest.fixture
def came_by_link(cast: Cast) -> Callable[[str], Client]:
    """A browser that has pressed the button of one of the cast's links."""

    def browse(name: str) -> Client:
        client = Client()
        answer = client.post(reverse("link", args=[cast.tokens[name]]))
        assert answer.status_code == 302
        return client

    return browse


@pytest.fixture
def site(db: Any, now: datetime) -> Site:
    """The small job of the gates' tests."""
    return build()


@pytest.fixture
def seen_by(site: Site) -> Callable[[str], Client]:
    """A browser in which one of the small job's people is signed in, or has come by their link."""
    return browser(site)


@pytest.fixture
def served(real_database: str) -> Iterator[str]:
    """The address of a server on a real database of its own, which is dropped, not flushed: the record forbids that.

    Ask for it with ``@on_sqlite``: what the two databases do differently is tested below the screens.
    """
    server = LiveServerThread("127.0.0.1", StaticFilesHandler)
    server.daemon = True
    server.start()
    server.is_ready.wait()
    assert server.error is None, server.error
    yield f"http://127.0.0.1:{server.port}"
    server.terminate()
