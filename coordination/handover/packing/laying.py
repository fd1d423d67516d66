"""Laying a site's papers, copies and originals into a sink; what cannot be laid is listed with its reason.

The same frozen site in the same language gives the same files. One photo that fails stops nothing.
"""

import csv
import io
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.template.loader import render_to_string
from django.utils import translation
from django.utils.translation import gettext as _

from coordination.evidence.strangers_words import COPY_NAMED, GIVEN_AS, NOT_GIVEN
from coordination.files.for_strangers import PDF, look_at
from coordination.files.images import ImageRefused, make_renditions
from coordination.files.images.renditions import SIZES
from coordination.files.keeping import OriginalLost, path_of, verify
from coordination.files.models import Blob
from coordination.handover.contact_sheets import (
    contact_sheet_order,
    place_name,
    places_with_evidence,
    sheet_of_place,
)
from coordination.handover.final_words import FinalWords, final_order
from coordination.handover.packing.checking_words import how_to_check
from coordination.handover.packing.filing import Filed, filed, handed_in
from coordination.handover.packing.folder_page import STYLE, page_of
from coordination.handover.packing.laid import Lacking, Laid
from coordination.handover.packing.names import safe
from coordination.handover.packing.sinks import MANIFEST, Sink, manifest, put_file, put_text
from coordination.handover.reading import Reader
from coordination.handover.sheet_paper import pdf_of, reader_of
from coordination.handover.site_drawing import site_drawing
from coordination.handover.whole import Whole, text_of, without_telephones
from coordination.paper import Order, PaperError
from coordination.projects.trade_words import speaking

ORIGINALS, PICTURES, DOCUMENTS, PAPERS, REPORTS = "originals", "pictures", "documents", "papers", "reports"
LARGE = max(SIZES)
Tell = Callable[[int, int], object]


@dataclass(frozen=True)
class Wanted:
    """What is asked for. ``originals`` False leaves out whatever says where a photo was taken, and telephones."""

    kind: str
    language: str
    paper: str
    originals: bool


def lay(whole: Whole, sink: Sink, wanted: Wanted, tell: Tell = lambda done, total: None) -> list[Lacking]:
    """Lay everything that is ``wanted`` into ``sink`` and return what lacks. ``tell`` hears how far it is."""
    told = whole if wanted.originals else without_telephones(whole)
    with translation.override(wanted.language), speaking(told["project"]["code_set"]):
        return _Laying(told, sink, wanted, tell).all()


class _Laying:
    """One folder while it is laid, in one language."""

    def __init__(self, whole: Whole, sink: Sink, wanted: Wanted, tell: Tell) -> None:
        self.whole, self.sink, self.wanted = whole, sink, wanted
        self.reader: Reader = reader_of(whole, wanted.language)
        self.laid, self.done, self.tell = Laid(), 0, tell
        self.files = filed(whole, self.reader)
        self.supplier = whole["project"]["supplier"]

    def all(self) -> list[Lacking]:
        steps = list(self._archive() if self.wanted.kind == "archive" else self._folder())
        for step in steps:
            self.tell(self.done, len(steps))
            step()
            self.done += 1
        self._finish()
        self.tell(len(steps), len(steps))
        return self.laid.lacking

    def _archive(self) -> Iterator[Callable[[], None]]:
        for file in self.files:
            yield lambda file=file: self._original(file, "")

    def _folder(self) -> Iterator[Callable[[], None]]:
        for file in self.files:
            yield lambda file=file: self._copy(file)
        for file in self.files:
            if self.wanted.originals:
                yield lambda file=file: self._original(file, f"{ORIGINALS}/")
            elif not file.handed.is_picture:
                yield lambda file=file: self._original(file, f"{DOCUMENTS}/")
        for report in self.whole["reports"]:
            yield lambda report=report: self._report(report)
        for place in places_with_evidence(self.whole):
            yield lambda place=place: self._sheet(place)
        yield self._final

    def _original(self, file: Filed, folder: str) -> None:
        sha, name = file.handed.sha256, f"{folder}{file.original}"
        if not self.wanted.originals and file.handed.is_picture:
            self._copy_instead(file)
        elif not self.wanted.originals and file.handed.media_type == PDF and not file.handed.is_own_paper:
            self._paper_instead(file, name)
        elif self._blob(name, sha, file.handed.what):
            self.laid.originals[sha] = name

    def _copy_instead(self, file: Filed) -> None:
        """In the variant without originals a photo goes as its copy, which does not say where it was taken."""
        if file.handed.is_copied_when_packed:
            if self._made_copy(file.copy, file):
                self.laid.originals[file.handed.sha256] = file.copy
        elif not file.handed.copy:
            why = _("no copy of this photo could be made, and originals are not part of this variant")
            self.laid.lacking.append(Lacking(file.copy, file.handed.what, why))
        elif self._blob(file.copy, file.handed.copy, file.handed.what):
            self.laid.originals[file.handed.sha256] = file.copy

    def _paper_instead(self, file: Filed, name: str) -> None:
        """There a PDF goes without location and device data; one that cannot is listed with its reason."""
        sha, what = file.handed.sha256, file.handed.what
        if (original := self._found(name, sha, what)) is None:
            return
        given = look_at(original)
        if given.blob is None:
            self.laid.lacking.append(Lacking(name, what, str(NOT_GIVEN[given.how])))
            return
        if given.is_copy:
            name = f"{name.removesuffix('.pdf')}-{COPY_NAMED}.pdf"
        if self._blob(name, given.blob.sha256, what):
            self.laid.originals[sha], self.laid.given_as[sha] = name, str(GIVEN_AS[given.how])

    def _copy(self, file: Filed) -> None:
        if file.handed.is_copied_when_packed:
            if self._made_copy(f"{PICTURES}/{file.copy}", file):
                self.laid.copies[file.handed.sha256] = f"{PICTURES}/{file.copy}"
            return
        if not file.handed.copy:
            if file.handed.is_picture:
                why = _("no copy of this photo could be made")
                self.laid.lacking.append(Lacking(f"{PICTURES}/{file.copy}", file.handed.what, why))
            return
        name = f"{PICTURES}/{file.copy}"
        if self._blob(name, file.handed.copy, file.handed.what):
            self.laid.copies[file.handed.sha256] = name

    def _made_copy(self, name: str, file: Filed) -> bool:
        """A copy made now, of what is no evidence; it does not say where the picture was taken."""
        blob = self._found(name, file.handed.sha256, file.handed.what)
        if blob is None:
            return False
        try:
            copy = make_renditions(path_of(blob), [LARGE])[LARGE]
        except ImageRefused:
            self.laid.lacking.append(
                Lacking(name, file.handed.what, _("no copy of this photo could be made"))
            )
            return False
        self.sink.put(name, [copy], len(copy))
        return True

    def _report(self, report: dict[str, Any]) -> None:
        ending = "-superseded" if report["superseded"] else ""
        name = f"{REPORTS}/{report['cleared_at'][:10]}-{safe(report['gate'])}-{report['code']}{ending}.pdf"
        if self._blob(name, report["sha256"], self.reader.text(report["text"])):
            self.laid.reports[report["code"]] = name

    def _sheet(self, place: str) -> None:
        sheet = sheet_of_place(self.whole, self.reader, place)
        assert sheet is not None  # noqa: S101  a place of this very site
        name = f"{PAPERS}/evidence-{safe(place)}.pdf"
        order = contact_sheet_order(self.whole, sheet, language=self.wanted.language, paper=self.wanted.paper)
        if self._paper(name, order, place_name(self.whole, self.reader, place)):
            self.laid.sheets[place] = name

    def _final(self) -> None:
        name = f"{PAPERS}/final-list.pdf"
        order = final_order(self.whole, language=self.wanted.language, paper=self.wanted.paper)
        if self._paper(name, order, _("Final handover: what is there, what is missing")):
            self.laid.final = name

    def _blob(self, name: str, sha: str, what: str) -> bool:
        """One stored file, read through before anything of it is laid down."""
        if (blob := self._found(name, sha, what)) is None:
            return False
        put_file(self.sink, name, path_of(blob))
        return True

    def _found(self, name: str, sha: str, what: str) -> Blob | None:
        """A whole file of the store; listed under the ``name`` it would have where it is not."""
        blob = Blob.objects.filter(supplier=self.supplier, sha256=sha).first()
        try:
            if blob is None:
                raise FileNotFoundError(sha)
            verify(blob)
        except (OriginalLost, OSError) as fault:
            how = getattr(fault, "how", "missing")
            why = {
                "missing": _("the file is missing from the store"),
                "altered": _("the file was altered in the store"),
            }[how]
            self.laid.lacking.append(Lacking(name, what, why))
            return None
        return blob

    def _paper(self, name: str, order: Order, what: str) -> bool:
        try:
            pdf = pdf_of(order)
        except PaperError as fault:
            why = _("the paper could not be made: %(why)s") % {"why": str(fault)[:300]}
            self.laid.lacking.append(Lacking(name, what, why))
            return False
        self.sink.put(name, [pdf], len(pdf))
        return True

    def _finish(self) -> None:
        """What is written last, because it names the rest: list, index page, how to check, and the manifest."""
        put_text(self.sink, "list.csv", self._list())
        put_text(self.sink, "state.json", text_of(self.whole))
        if self.wanted.kind == "folder":
            self._index()
        if self.laid.lacking:
            put_text(self.sink, "missing.txt", self._missing())
        put_text(
            self.sink,
            "how-to-check.txt",
            how_to_check(self.whole, self.reader, originals=self.wanted.originals),
        )
        text = manifest(self.sink.sums)
        put_text(self.sink, MANIFEST, text)

    def _index(self) -> None:
        sheet = _("Final handover")
        if drawing := site_drawing(self.whole, self.reader, sheet):
            self.laid.drawing = "drawing.svg"
            self.sink.put(self.laid.drawing, [drawing.svg], len(drawing.svg))
        words = FinalWords(self.whole, self.reader)
        context = page_of(words, self.laid, self.files, drawing, originals=self.wanted.originals)
        put_text(self.sink, "index.html", render_to_string("handover_folder/index.html", context))
        put_text(self.sink, "index.css", STYLE.read_text(encoding="utf-8"))

    def _list(self) -> str:
        """Everything that was handed in, a line each, for a spreadsheet."""
        file = io.StringIO()
        rows = csv.writer(file)
        heads = (
            _("place"),
            _("task"),
            _("asked for"),
            _("kind"),
            _("state"),
            _("taken"),
            _("received"),
            _("by"),
        )
        rows.writerow([*heads, "SHA-256", _("file"), _("SHA-256 of that file"), _("given as")])
        for handed in handed_in(self.whole, self.reader):
            item = handed.item
            times = (item.get("taken_at") or "", item.get("received_at") or "")
            by = item.get("sender") or item.get("name") or ""
            name = self.laid.originals.get(handed.sha256) or self.laid.copies.get(handed.sha256, "")
            told = (handed.place, handed.work, handed.what, handed.kind, handed.state, *times, by)
            laid_sha = self.sink.sums.get(name, "")
            given = self._given_as(handed.sha256, laid_sha)
            rows.writerow([*(_no_formula(each) for each in told), handed.sha256, name, laid_sha, given])
        return file.getvalue()

    def _given_as(self, sha: str, laid_sha: str) -> str:
        """What the file of a line is, beside what was handed in."""
        if not laid_sha:
            return ""
        as_laid = _("original") if laid_sha == sha else str(GIVEN_AS["stripped"])
        return self.laid.given_as.get(sha, as_laid)

    def _missing(self) -> str:
        head = _("What could not be packed, and why")
        return "\n".join(
            [head, "", *(f"{each.name}: {each.what}: {each.why}" for each in self.laid.lacking), ""]
        )


def _no_formula(text: str) -> str:
    """What a spreadsheet would take for a formula, as text."""
    return f"'{text}" if text[:1] in {"=", "+", "-", "@", "\t", "\r"} else text


def names_of(lacking: Sequence[Lacking]) -> list[dict[str, str]]:
    """As it is kept beside a pack."""
    return [vars(each) for each in lacking]
