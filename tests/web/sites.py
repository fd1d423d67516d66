"""The small job at the screens, and papers without the wait for a PDF."""

from collections.abc import Callable
from datetime import datetime
from html import unescape
from typing import Any

from django.test import Client
from django.urls import reverse

from coordination.gates.models import Clearing
from coordination.handover.actions import make_gate_report
from coordination.handover.models import Report
from tests.gates.sites import Site

PDF = b"%PDF-1.7 the kept bytes"


def browser(site: Site) -> Callable[[str], Client]:
    """A browser in which somebody of the cast is signed in, or has come by their link (``"by link: owner"``)."""

    def browse(name: str) -> Client:
        client = Client()
        link = name.removeprefix("by link: ")
        if link != name:
            assert client.post(reverse("link", args=[site.cast.tokens[link]])).status_code in {302, 410}
        else:
            client.force_login(site.cast.people[name])
        return client

    return browse


def paper(clearing: Clearing, at: datetime, monkeypatch: Any, content: bytes = PDF) -> Report:
    """The report of a clearing, kept through the real action; only the drawing of the PDF is left out."""
    monkeypatch.setattr(
        "coordination.handover.composing.Composed.render_to", lambda composed, file: file.write(content)
    )
    return make_gate_report(clearing, at, language="en-us", paper="letter")


def text_of(answer: Any) -> str:
    """What a page says, without its tags and with single spaces."""
    import re

    return " ".join(unescape(re.sub(r"<[^>]+>|\s+", " ", answer.content.decode())).split())
