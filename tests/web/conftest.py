"""The standing cast at the screens: browsers in which somebody is signed in or has come by a link."""

import os
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.standing_cast import LATER, Cast, gather

os.environ.setdefault(
    "DJANGO_ALLOW_ASYNC_UNSAFE", "true"
)  # the browser's driver runs a loop in the test's thread
CHROMIUM_ARGUMENTS = (
    "--no-sandbox --disable-gpu --no-first-run --disable-background-networking "
    "--disable-component-update --disable-sync --disable-quic"
)


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


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    return {
        **browser_type_launch_args,
        "executable_path": "/usr/bin/chromium",
        "args": CHROMIUM_ARGUMENTS.split(),
    }
