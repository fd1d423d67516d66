"""The gate report as a file: read by independent readers, validated, signed, and its code read by a camera's eye."""

import io
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pikepdf
import pytest
import zxingcpp
from PIL import Image
from pypdf import PdfReader

from coordination.gates.models import Clearing
from coordination.handover.composing import compose_gate_report
from coordination.paper import PaperError
from coordination.paper.signing import Signing, signed
from tests.handover.certificates import made_in
from tests.paper.validating import BOTH, broken_by

SITE = "https://lifts.example.org"
MADE: dict[str, bytes] = {}


@pytest.fixture
def pdf(clearing: Clearing) -> bytes:
    """One rendering for all tests of this file; nothing they look at differs from run to run."""
    if not MADE:
        MADE["es"] = compose_gate_report(clearing, language="es", paper="a4", site=SITE).render()
        MADE["pdf"] = compose_gate_report(clearing, language="en-us", paper="letter", site=SITE).render()
    return MADE["pdf"]


@pytest.fixture
def path(pdf: bytes, tmp_path: Path) -> Path:
    (tmp_path / "report.pdf").write_bytes(pdf)
    return tmp_path / "report.pdf"


def said_by(*command: object) -> str:
    answer = subprocess.run(
        [str(word) for word in command], capture_output=True, text=True, timeout=120, check=False
    )
    assert answer.returncode == 0, answer.stdout + answer.stderr
    return answer.stdout


@pytest.mark.parametrize("profile", BOTH)
def test_both_standards_are_kept(pdf: bytes, tmp_path: Path, profile: str) -> None:
    assert broken_by(profile, pdf, tmp_path) == set()


def test_a_second_checker_finds_no_error(path: Path) -> None:
    """outloud, PDF/UA-1 and what a validator cannot know; its warnings are about page numbers in the margins."""
    said_by(Path(sys.executable).with_name("outloud"), "--fail-on", "error", path)


def test_other_readers_find_no_fault(path: Path) -> None:
    assert "No syntax or stream encoding errors found" in said_by("qpdf", "--check", path)
    with pikepdf.open(path) as read:
        assert read.Root.MarkInfo.Marked
        assert str(read.Root.Lang).lower() == "en-us"
        assert sorted(read.attachments) == ["manifest.json", "originals.sha256", "snapshot.json"]
        manifest = json.loads(read.attachments["manifest.json"].get_file().read_bytes())
    assert manifest["code"] in said_by("pdftotext", path, "-")


def test_spanish_is_declared(pdf: bytes) -> None:
    read = PdfReader(io.BytesIO(MADE["es"]))
    assert read.trailer["/Root"]["/Lang"] == "es"
    assert round(read.pages[0].mediabox.height) == 842  # A4


def test_a_camera_reads_the_address_from_a_print(path: Path, tmp_path: Path) -> None:
    """150 dpi, and turned and made grey as a copy might be."""
    said_by("pdftoppm", "-r", "150", "-f", "1", "-l", "1", "-gray", "-png", path, tmp_path / "page")
    [page] = tmp_path.glob("page*.png")
    code = json.loads(PdfReader(path).attachments["manifest.json"][0])["code"]
    for turned in (0, 7, 90):
        picture = Image.open(page).rotate(turned, expand=True, fillcolor=255)
        assert [found.text for found in zxingcpp.read_barcodes(picture)] == [f"{SITE}/check/{code}"]


def test_the_first_sheet_is_the_summary_and_the_contents_have_right_numbers(path: Path) -> None:
    first, second = (said_by("pdftotext", "-layout", "-f", n, "-l", n, path, "-") for n in (1, 2))
    for words in ("present", "Missing, or let go", "Still open or assumed", "Report code", "1 of"):
        assert words in first
    assert "What was decided" not in first
    read = PdfReader(path)
    for item in read.outline[0] if isinstance(read.outline[0], list) else read.outline[1]:
        if not isinstance(item, list) and item.title in {"Pit", "Rail wall", "Originals"}:
            number = read.get_destination_page_number(item) + 1
            line = next(line for line in second.splitlines() if f"{item.title}." in line.replace(" .", "."))
            assert str(number) in line.replace(".", " ").split()


def nobody_vouches() -> Any:
    from pyhanko_certvalidator import ValidationContext

    return ValidationContext(trust_roots=[], allow_fetching=False)


def test_a_signature_is_appended_and_keeps_both_standards(pdf: bytes, tmp_path: Path) -> None:
    from pyhanko.pdf_utils.reader import PdfFileReader
    from pyhanko.sign.validation import validate_pdf_signature

    content = signed(pdf, Signing(*made_in(tmp_path)))
    assert content.startswith(pdf)
    [signature] = PdfFileReader(io.BytesIO(content)).embedded_signatures
    status = validate_pdf_signature(signature, nobody_vouches())
    assert (status.intact, status.valid, status.coverage.name) == (True, True, "ENTIRE_FILE")
    (tmp_path / "signed.pdf").write_bytes(content)
    told = subprocess.run(
        ["pdfsig", "-nocert", tmp_path / "signed.pdf"],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    ).stdout
    assert "Signature is Valid." in told
    assert "Total document signed" in told
    assert [broken_by(profile, content, tmp_path) for profile in BOTH] == [set(), set()]


def test_an_altered_byte_breaks_the_signature(pdf: bytes, tmp_path: Path) -> None:
    from pyhanko.pdf_utils.reader import PdfFileReader
    from pyhanko.sign.validation import validate_pdf_signature

    content = bytearray(signed(pdf, Signing(*made_in(tmp_path))))
    place = content.index(b"<pdfuaid:part>1") + 15
    content[place : place + 1] = b"2"
    [signature] = PdfFileReader(io.BytesIO(bytes(content))).embedded_signatures
    assert not validate_pdf_signature(signature, nobody_vouches()).intact


def test_a_key_that_is_none_signs_nothing(pdf: bytes, tmp_path: Path) -> None:
    key, certificate = made_in(tmp_path)
    key.write_text("no key")
    with pytest.raises(PaperError, match=r"key\.pem is no private key in PEM"):
        signed(pdf, Signing(key, certificate))
