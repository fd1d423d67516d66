"""Documents: what an independent program wrote as a PDF is taken, everything else refused by name."""

import io
import subprocess
import zipfile

import pytest
from pypdf import PdfWriter

from coordination.files.documents import DocumentFacts, DocumentRefused, inspect_document
from coordination.files.images import ImageRefused, inspect_image
from tests.files.conftest import run


def blank(pages: int, password: str = "") -> bytes:
    writer, file = PdfWriter(), io.BytesIO()
    for _ in range(pages):
        writer.add_blank_page(612, 792)
    if password:
        writer.encrypt(password, algorithm="RC4-128")
    writer.write(file)
    return file.getvalue()


def reason_of(data: bytes) -> str:
    with pytest.raises(DocumentRefused) as refusal:
        inspect_document(data)
    return refusal.value.reason


@pytest.mark.parametrize("pages", [1, 3])
def test_a_pdf_is_taken(tmp_path, pages):
    path = tmp_path / "ticket.jpg"
    path.write_bytes(blank(pages))
    assert inspect_document(path) == DocumentFacts("application/pdf", pages, None)


def test_a_pdf_rewritten_by_another_program_is_taken(tmp_path):
    (tmp_path / "a.pdf").write_bytes(blank(2))
    subprocess.run(
        ["qpdf", "--linearize", "--object-streams=generate", tmp_path / "a.pdf", tmp_path / "b.pdf"],
        check=True,
    )
    assert inspect_document(tmp_path / "b.pdf").pages == 2


def test_a_picture_of_the_paper_is_taken(drawn):
    path = drawn("card.png")
    assert inspect_document(path) == DocumentFacts("image/png", 1, inspect_image(path))


def test_a_document_cut_off():
    whole = blank(3)
    assert {reason_of(whole[: len(whole) * share // 10]) for share in range(1, 10)} == {"truncated"}


def archive() -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as made:
        made.writestr("a.txt", "inside")
    return file.getvalue()


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (b"Delivered 7 yards.\n", "not a document"),
        (b"PK\x03\x04" + bytes(100), "not a document"),
        (b"%PDF-1.7\nnothing else\n%%EOF", "damaged"),
        (blank(1, password="secret"), "locked"),
        (blank(0), "no pages"),
        (blank(1) + archive(), "another file inside"),
    ],
    ids=["text", "archive", "rubbish", "locked", "no pages", "pdf and archive"],
)
def test_what_is_no_document_is_refused_by_name(data, reason):
    assert reason_of(data) == reason


def test_a_picture_that_cannot_be_taken_says_why(drawn):
    with pytest.raises(ImageRefused) as refusal:
        inspect_document(drawn("a.jpg").read_bytes()[:-100])
    assert refusal.value.reason == "truncated"


def test_a_page_tree_that_runs_in_a_ring_ends():
    ring = b"%PDF-1.4\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj\n2 0 obj<</Type/Pages/Count 1/Kids[2 0 R]>>endobj\ntrailer<</Root 1 0 R>>\n%%EOF"
    assert reason_of(ring) in {"damaged", "no pages"}


def test_the_made_files_are_real(tmp_path):
    (tmp_path / "a.pdf").write_bytes(blank(2))
    assert "Pages:           2" in run("pdfinfo", tmp_path / "a.pdf")
