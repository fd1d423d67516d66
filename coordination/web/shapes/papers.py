"""Papers made on demand: as dense as it takes to get each onto its page, never denser than can be read."""

import hashlib
import io
from collections.abc import Iterable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from django.template.loader import render_to_string
from pypdf import PdfReader

from coordination.paper import Order, render_apart

STYLE = Path(__file__).with_name("papers.css")
DENSITIES = ("roomy", "tight", "dense", "full")
MOST_LINES = (("roomy", 46), ("tight", 60), ("dense", 72))
LIMIT = 120.0
Resources = Mapping[str, bytes | Path]


def density_for(lines: float) -> str:
    """The density at which so many lines are likely to fit onto a page; what does not fit is tried denser."""
    return next((density for density, most in MOST_LINES if lines <= most), DENSITIES[-1])


def paper(
    template: str,
    context: Mapping[str, Any],
    resources: Resources,
    *,
    title: str,
    language: str,
    made_at: datetime,
    begin: str = "roomy",
) -> bytes:
    """The PDF of a template on one page; on more only where the densest still does not fit.

    The template gets ``density``, the first one tried being ``begin``. Raises PaperError.
    """
    tries = ({**context, "density": density} for density in DENSITIES[DENSITIES.index(begin) :])
    return made_of(template, tries, resources, title=title, language=language, made_at=made_at, pages=1)


def made_of(
    template: str,
    contexts: Iterable[Mapping[str, Any]],
    resources: Resources,
    *,
    title: str,
    language: str,
    made_at: datetime,
    pages: int,
) -> bytes:
    """The PDF of the first context that takes no more than ``pages`` pages, else of the last.

    The template asks for ``style/papers.css``. Raises PaperError.
    """
    made = b""
    for context in contexts:
        html = render_to_string(template, {**context, "language": language, "title": title})
        order = Order(
            html,
            {**resources, "style/papers.css": STYLE},
            identifier=hashlib.sha256(html.encode()).digest()[:16],
            made_at=made_at,
            language=language,
            title=title,
        )
        made = render_apart(order, limit=LIMIT)
        if len(PdfReader(io.BytesIO(made)).pages) <= pages:
            break
    return made
