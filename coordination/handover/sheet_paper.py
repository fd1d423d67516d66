"""Papers of a frozen site: template and words to an order for a PDF, dated by the site's own last event."""

import hashlib
import io
from collections.abc import Iterable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.template.loader import render_to_string
from django.utils.translation import gettext as _
from pypdf import PdfReader

from coordination.files.keeping import path_of
from coordination.files.models import Blob
from coordination.handover.reading import Reader
from coordination.handover.whole import Whole
from coordination.paper import Order, render_apart
from coordination.projects.trade_words import in_spoken_words

STYLE = Path(__file__).with_name("sheets.css")
LIMIT = 240.0
Resources = dict[str, bytes | Path]


def reader_of(whole: Whole, language: str) -> Reader:
    """Who reads a paper of this site in ``language``."""
    return Reader(language, whole["units"], ZoneInfo(whole["project"]["zone"]))


def sheet_order(
    template: str,
    context: Mapping[str, Any],
    resources: Resources,
    *,
    title: str,
    language: str,
    made_at: datetime,
) -> Order:
    """All that decides the bytes of one paper."""
    html = render_to_string(template, {**context, "language": language[:2], "title": title})
    return Order(
        html,
        {**resources, "style/sheets.css": STYLE},
        identifier=hashlib.sha256(html.encode()).digest()[:16],
        made_at=made_at,
        language=language,
        title=title,
    )


def pdf_of(order: Order) -> bytes:
    """The PDF, made in a process of its own. Raises PaperError."""
    return render_apart(order, limit=LIMIT)


def one_page(orders: Iterable[Order], pages: int = 1) -> bytes:
    """The PDF of the first order that takes no more than ``pages`` pages, else of the last. Raises PaperError."""
    made = b""
    for order in orders:
        made = pdf_of(order)
        if len(PdfReader(io.BytesIO(made)).pages) <= pages:
            break
    return made


def stood_at(whole: Whole) -> datetime:
    """When anything of the site was altered last: the date of every paper made from it."""
    return datetime.fromisoformat(whole["as_of"]["at"])


def head_of(whole: Whole, reader: Reader, sheet: str) -> dict[str, Any]:
    """The title block and foot that all these papers have."""
    project, plan = whole["project"], whole["plan"]
    pairs = [
        (_("Project"), project["name"]),
        (_("Place"), project["place"] or _("not stated")),
        (_("Sheet"), sheet),
        (_("As of"), reader.moment(whole["as_of"]["at"])),
        (_("Maker's drawing"), plan["drawing_revision"] or _("revision not stated")),
        (_("Plan"), _("revision %(n)d") % {"n": plan["revision"]}),
    ]
    return {
        "project": project["name"],
        "sheet": sheet,
        "block": [pairs[place : place + 2] for place in range(0, len(pairs), 2)],
        "foot": " · ".join((project["name"], sheet)),
        "govern": in_spoken_words(
            _(
                "The approved revision of the {lift} maker's drawing and the local code govern; the authority having "
                "jurisdiction, the engineer of record and licensed trades decide. This is no permission to enter the "
                "{hoistway} or to energize anything."
            )
        ),
    }


def copies_of(whole: Whole, shas: set[str]) -> Resources:
    """Copies of photos by the name under which a paper asks for them; what is not on disk is left out."""
    blobs = Blob.objects.filter(supplier=whole["project"]["supplier"], sha256__in=shas)
    return {photo_name(blob.sha256): path for blob in blobs if (path := path_of(blob)).is_file()}


def photo_name(sha256: str) -> str:
    return f"photo/{sha256}.jpg"
