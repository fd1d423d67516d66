"""One HTML text and the files it names become one PDF."""

import contextlib
import gc
import importlib.metadata
import logging
import re
import tempfile
import threading
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC
from pathlib import Path
from types import ModuleType
from typing import Any, BinaryIO

from coordination.paper.ordering import Order, PaperError, bytes_of

ATTACHED = "attached/"
NO_GLYPH = re.compile(r"\.notdef glyph rendered for .*\(U\+([0-9A-F]+)\)", re.DOTALL)
REPLACEMENT = "\N{REPLACEMENT CHARACTER}"
logger = logging.getLogger(__name__)


def render_pdf(order: Order) -> bytes:
    """A tagged file that is PDF/A-3a and PDF/UA-1; the same order gives the same bytes with the same ``renderer()``.

    The fonts of "Source Sans Pro" are there already, and ``paper/sheet.css`` to start from; JPEGs go in byte for byte.

    A letter that no font has is shown as U+FFFD: one person's name must not stop a paper. Everything else that
    WeasyPrint complains of, a picture without alternative text among others, raises PaperError with all that was
    wrong, and so does asking for a file that was not handed over.
    """
    with tempfile.TemporaryFile(prefix="paper-") as target:
        render_to(order, target)
        gc.collect()  # a document points to itself in many ways; it is gone before its bytes are read back
        target.seek(0)
        return target.read()


def render_to(order: Order, target: BinaryIO) -> None:
    """As ``render_pdf``, written to ``target``: never whole in memory. After an error half of it may be there."""
    weasyprint = _weasyprint()
    for _ in range(3):  # a replacement may need a second look where letters were joined
        target.seek(0)
        target.truncate()
        with _complaints() as complaints:
            _write(weasyprint, order, target)
        if not complaints:
            return
        if not (missing := _letters_without_glyph(complaints)):
            break
        logger.warning("No font has %s.", " ".join(sorted(f"U+{ord(letter):04X}" for letter in missing)))
        order = _without(order, missing)
    raise PaperError(*dict.fromkeys(complaints))


def renderer() -> str:
    """What makes the papers, with versions: other versions may give other bytes for the same input."""
    _weasyprint()
    from weasyprint.text.ffi import pango

    packages = ("weasyprint", "pydyf", "fonttools", "font-source-sans-pro")
    versions = [f"{package} {importlib.metadata.version(package)}" for package in packages]
    number = pango.pango_version()
    return ", ".join([*versions, f"pango {number // 10000}.{number // 100 % 100}.{number % 100}"])


def _weasyprint() -> ModuleType:
    try:
        import weasyprint
    except OSError as error:
        raise PaperError(
            f"WeasyPrint needs a library of the system ({error}). "
            "On Debian and Ubuntu: apt install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"
        ) from error
    return weasyprint


@contextlib.contextmanager
def _complaints() -> Iterator[list[str]]:
    """What WeasyPrint logs as warning or error in this thread."""
    found: list[str] = []
    thread = threading.get_ident()

    class Collector(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            if record.thread == thread:
                found.append(record.getMessage())

    log, collector = logging.getLogger("weasyprint"), Collector(logging.WARNING)
    log.addHandler(collector)
    try:
        yield found
    finally:
        log.removeHandler(collector)


def _write(weasyprint: Any, order: Order, target: BinaryIO) -> None:
    from weasyprint.text.fonts import FontConfiguration
    from weasyprint.urls import FatalURLFetchingError

    from coordination.paper.fetching import BASE, OnlyByName
    from coordination.paper.finishing import UndatedAttachment, finisher, srgb
    from coordination.paper.own_sheet import Page

    files = {ATTACHED + attached.name: attached.content for attached in order.attachments}
    media_types = {ATTACHED + attached.name: attached.media_type for attached in order.attachments}
    fetcher, fonts = OnlyByName({**order.resources, **files}, media_types), FontConfiguration()
    colours = {"paper": srgb()}
    css = Path(__file__).with_name("fonts.css").read_text(encoding="utf-8")
    at = order.made_at.astimezone(UTC)
    try:
        own = weasyprint.CSS(string=css, base_url=BASE, url_fetcher=fetcher, font_config=fonts)
        page = Page(string=order.html, base_url=BASE, url_fetcher=fetcher)
        document = page.render(font_config=fonts, stylesheets=[own], color_profiles=colours)
        document.metadata.title, document.metadata.lang = order.title, order.language
        document.metadata.created = document.metadata.modified = at.strftime("%Y-%m-%dT%H:%M:%SZ")
        document.write_pdf(
            target,
            finisher=finisher(len(order.attachments)),
            pdf_variant=order.profile,
            pdf_identifier=order.identifier,
            output_intent="paper",
            attachments=[
                weasyprint.Attachment(
                    url=BASE + ATTACHED + attached.name,
                    url_fetcher=fetcher,
                    name=attached.name,
                    description=attached.description,
                    relationship=attached.relationship,
                    created=at,
                    modified=at,
                )
                for attached in sorted(order.attachments, key=lambda attached: attached.name)
            ],
        )
    except FatalURLFetchingError as error:
        raise PaperError(str(error)) from error
    except UndatedAttachment as error:
        raise PaperError("files are attached through the argument, not in the HTML") from error
    if fetcher.refused:
        raise PaperError(*fetcher.refused)


def _letters_without_glyph(complaints: Sequence[str]) -> set[str]:
    """The letters that no font has; empty when anything else was complained of as well."""
    found = [NO_GLYPH.search(complaint) for complaint in complaints]
    return {chr(int(match[1], 16)) for match in found if match} if all(found) else set()


def _without(order: Order, letters: set[str]) -> Order:
    table = {ord(letter): REPLACEMENT for letter in letters}
    drawings = {
        name: bytes_of(content).decode().translate(table).encode()
        for name, content in order.resources.items()
        if name.endswith(".svg")
    }
    return replace(order, html=order.html.translate(table), resources={**order.resources, **drawings})
