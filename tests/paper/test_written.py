"""How a paper is laid out and written leanly: what it spares must alter nothing on it."""

import io
import os
import tracemalloc

import pydyf
import weasyprint
from pypdf import PdfReader
from weasyprint.css.counters import CounterStyle
from weasyprint.html import UA

from coordination.paper import own_sheet, render_pdf
from coordination.paper.writing import ObjectByObject
from tests.paper import sheets

NUMBERED = (
    "<ol><li>one</li><li>two<ul><li>within</li></ul></li></ol><details open><summary>S</summary>D</details>"
)


def test_the_leaner_sheet_alters_no_byte(monkeypatch):
    order = sheets.order(html=sheets.HTML.replace("<ul><li>one", f"{NUMBERED}<ul><li>one"))
    lean = render_pdf(order)
    monkeypatch.setattr(own_sheet, "_leaner", lambda: weasyprint.CSS(string=UA, counter_style=CounterStyle()))
    assert render_pdf(order) == lean


def test_it_leaves_out_markers_of_everything_and_notes_and_nothing_else():
    left_out = set(UA.splitlines()) - set(own_sheet.leaner().splitlines())
    selectors = sorted(line.partition(" {")[0] for line in left_out)
    assert selectors == [
        "::footnote-call", "::footnote-marker", "::marker", "::note-call", "::note-callback", "::note-marker",
    ]  # fmt: skip


def written(pdf: pydyf.PDF) -> bytes:
    pdf.info["Title"] = pydyf.String("Some objects")
    for number in range(30):
        pdf.add_object(pydyf.Stream([b"%d" % number] * number, compress=True))
        pdf.add_object(pydyf.Dictionary({"N": number}))
    file = io.BytesIO()
    pdf.write(file, b"1.7", b"0123456789abcdef", compress=True)
    return file.getvalue()


def halves(pdf: bytes) -> list[bytes]:
    return [bytes(half.original_bytes) for half in PdfReader(io.BytesIO(pdf)).trailer["/ID"]]


def test_only_the_second_half_of_the_identifier_is_another():
    ours, theirs = written(ObjectByObject()), written(pydyf.PDF())
    (first, one), (same, two) = halves(ours), halves(theirs)
    assert first == same == b"0123456789abcdef"
    assert (len(one), one != two) == (32, True)
    assert ours.replace(one, two) == theirs


class OnDisk(pydyf.Object):
    """A photo of 2 MB, read when it is asked for."""

    @property
    def data(self) -> bytes:
        return bytes(2_000_000)


def test_the_file_is_never_whole_in_memory():
    pdf = ObjectByObject()
    for _ in range(20):
        pdf.add_object(pydyf.Stream([OnDisk()]))
    with open(os.devnull, "wb") as nowhere:
        tracemalloc.start()
        pdf.write(nowhere, b"1.7", b"0123456789abcdef", compress=True)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
    assert pdf.current_position > 40_000_000
    assert peak < 15_000_000  # some copies of one photo


def test_another_content_has_another_second_half():
    one, other = (halves(render_pdf(sheets.order(title=title))) for title in ("One title", "Other title"))
    assert one[0] == other[0]
    assert one[1] != other[1]
