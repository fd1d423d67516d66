"""A paper checked by its code and by its bytes: each way in which a file can be wrong is told apart."""

import io
import json
import subprocess
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from pypdf import PdfReader, PdfWriter

from coordination.evidence.models import Evidence
from coordination.files.keeping import path_of
from coordination.gates.models import Clearing
from coordination.handover.actions import make_gate_report
from coordination.handover.checked_words import of_code, of_file
from coordination.handover.checking import Checked, check_file, standing_of
from coordination.handover.codes import as_code
from coordination.handover.composing import Composed
from coordination.handover.models import Report
from coordination.record.models import Event
from tests.gates.sites import Site


def small(composed: Composed) -> bytes:
    """A PDF with what a report is known by, without the wait for its pages."""
    writer = PdfWriter()
    writer.add_blank_page(200, 200)
    writer.add_metadata({"/Subject": f"Harrow Lane, gate report {composed.code}"})
    for attached in composed.attachments:
        writer.add_attachment(attached.name, bytes(attached.content))
    written = io.BytesIO()
    writer.write(written)
    return written.getvalue()


@pytest.fixture
def report(site: Site, clearing: Clearing, monkeypatch: pytest.MonkeyPatch) -> Report:
    monkeypatch.setattr(
        "coordination.handover.composing.Composed.render_to", lambda made, file: file.write(small(made))
    )
    return make_gate_report(clearing, site.step(), language="en-us", paper="letter")


@pytest.fixture
def original(report: Report) -> bytes:
    return path_of(report.blob).read_bytes()


def checked(content: bytes, folder: Path) -> Checked:
    (folder / "held.pdf").write_bytes(content)
    return check_file(folder / "held.pdf")


def reopen(site: Site) -> None:
    photo = Evidence.objects.get(requirement=site.need("backing@rail-wall#left"))
    site.withdraw(photo, "framer", "wrong wall")


def clear_again(site: Site, monkeypatch: pytest.MonkeyPatch) -> Report:
    site.photo("backing@rail-wall#left", "framer")
    offer = site.offer("backing@rail-wall", "framer")
    site.review("backing@rail-wall#left", "contractor")
    site.answer(offer, "rails@hoistway", "crew")
    site.sign("close-in", "contractor")
    site.sign("close-in", "crew")
    return make_gate_report(site.clear("close-in"), site.step(), language="en-us", paper="letter")


def test_the_file_that_was_given_out(report: Report, original: bytes, tmp_path: Path) -> None:
    found = checked(original, tmp_path)
    assert (found.finding, found.standing.code, found.standing.current) == ("genuine", report.code, True)
    assert found.sha256 == report.blob.sha256
    assert of_file(found).line == f"Genuine: this is report {report.code} as it was given out, byte for byte."


def test_one_altered_byte(report: Report, original: bytes, tmp_path: Path) -> None:
    for place in (9, len(original) // 2, len(original) - 7):
        content = bytearray(original)
        content[place] ^= 1
        found = checked(bytes(content), tmp_path)
        assert (found.finding, found.differs, found.standing.code) == ("altered", 1, report.code)
        assert of_file(found).line == f"Altered: 1 byte is not as in report {report.code}."


def test_something_added_as_a_foreign_signature_is(report: Report, original: bytes, tmp_path: Path) -> None:
    found = checked(original + b"\n%more\n%%EOF\n", tmp_path)
    assert (found.finding, found.standing.code) == ("added", report.code)
    assert of_file(found).line.startswith("Something was added: ")


def saved_by_pypdf(path: Path, target: Path) -> None:
    writer = PdfWriter(clone_from=PdfReader(path))
    writer.write(target)


def saved_by_qpdf(path: Path, target: Path) -> None:
    subprocess.run(["qpdf", "--object-streams=generate", path, target], check=True, timeout=60)


def printed_anew(path: Path, target: Path) -> None:
    """Only the attachments still say what it is."""
    writer = PdfWriter()
    writer.add_blank_page(300, 300)
    for name, (content, *_more) in PdfReader(path).attachments.items():
        writer.add_attachment(name, content)
    writer.compress_identical_objects()
    writer.write(target)


@pytest.mark.parametrize("save", [saved_by_pypdf, saved_by_qpdf, printed_anew])
def test_saved_again(report: Report, original: bytes, tmp_path: Path, save: Any) -> None:
    (tmp_path / "before.pdf").write_bytes(original)
    save(tmp_path / "before.pdf", tmp_path / "after.pdf")
    found = check_file(tmp_path / "after.pdf")
    assert (found.finding, found.standing and found.standing.code) == ("another file", report.code)
    assert of_file(found).line.startswith("Not the file that was given out: ")


def test_a_foreign_pdf_and_no_pdf(report: Report, tmp_path: Path) -> None:
    writer, written = PdfWriter(), io.BytesIO()
    writer.add_blank_page(200, 200)
    writer.write(written)
    assert checked(written.getvalue(), tmp_path).finding == "foreign"
    assert checked(b"%PDF-1.7 torn off", tmp_path).finding == "foreign"
    assert checked(b"no paper", tmp_path).finding == "no PDF"
    assert checked(b"", tmp_path).finding == "no PDF"


def test_a_file_full_of_codes_tries_only_a_few(report: Report, tmp_path: Path) -> None:
    codes = [f"AAAA{a}-BBBB{b}" for a in "ABCDEFG" for b in "ABCDEFG"]
    content = "%PDF-1.7\n" + "\n".join([*codes, report.code])
    assert checked(content.encode(), tmp_path).finding == "foreign"


def test_superseded_by_a_later_revision(
    site: Site, report: Report, original: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    reopen(site)
    found = checked(original, tmp_path)
    assert of_code(found.standing).line == (
        "It is superseded: its gate reopened on March 2, 2026 and has not been cleared again."
    )
    again = clear_again(site, monkeypatch)
    found = checked(original, tmp_path)
    assert (found.finding, found.standing.current) == ("genuine", False)
    assert of_file(found).more == (f"It is superseded by revision 2 of March 2, 2026, report {again.code}.",)
    assert of_code(standing_of(again.code)).mark == "cleared"


def test_the_revision_table_says_why(site: Site, report: Report, monkeypatch: pytest.MonkeyPatch) -> None:
    from coordination.handover.composing import compose_gate_report

    reopen(site)
    clear_again(site, monkeypatch)
    html = compose_gate_report(site.clearing("close-in"), language="en-us", paper="letter").html
    assert "wrong wall" in html
    assert "reopened March 2, 2026" in html


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("abcde-fgh23", "ABCDE-FGH23"),
        ("ABCDEFGH23", "ABCDE-FGH23"),
        (" abcde fgh23 ", "ABCDE-FGH23"),
        ("0BCDE-1GH28", "OBCDE-IGH2B"),
        ("ABCDE-FGH2", ""),
        ("ABCDE-FGH9Z", ""),
        ("", ""),
    ],
)
def test_a_code_is_known_however_it_is_typed(typed: str, code: str) -> None:
    assert as_code(typed) == code


def run(*words: str) -> tuple[int, str]:
    out = io.StringIO()
    try:
        call_command(*words, stdout=out)
    except SystemExit as ended:
        return int(ended.code or 0), out.getvalue()
    except CommandError as ended:
        return ended.returncode, str(ended)
    return 0, out.getvalue()


def test_the_command_line_says_the_same(site: Site, report: Report, original: bytes, tmp_path: Path) -> None:
    held = tmp_path / "held.pdf"
    held.write_bytes(original)
    code, said = run("verify_report", str(held))
    assert (code, said.splitlines()[0]) == (
        0,
        f"Genuine: this is report {report.code} as it was given out, byte for byte.",
    )
    reopen(site)
    assert run("verify_report", str(held))[0] == 1
    told = json.loads(run("verify_report", str(held), "--json")[1])
    assert (told["finding"], told["current"], told["report"]["code"]) == ("genuine", False, report.code)
    held.write_bytes(original + b"x")
    assert run("verify_report", str(held))[0] == 2
    assert run("verify_report", str(tmp_path / "nowhere.pdf"))[0] == 2


def test_the_anchor_in_a_report_proves_the_record(site: Site, clearing: Clearing, report: Report) -> None:
    file = str(path_of(report.blob))
    anchor = f"{clearing.event.hash}@{clearing.event.seq}"
    for words in (("--report", file), ("--anchor", anchor), ("--anchor", anchor.upper())):
        code, said = run("verify_record", *words)
        assert code == 0
        assert f"event {clearing.event.seq} is the anchor's" in said
    assert run("verify_record", "--anchor", "nothing")[0] == 2
    code, said = run("verify_record", "--anchor", f"{'0' * 64}@{clearing.event.seq}")
    assert (code, "No chain here has" in said) == (1, True)


def test_a_record_written_anew_contradicts_the_paper(site: Site, clearing: Clearing, report: Report) -> None:
    """Every hash made right again after the change: only the paper can tell."""
    from django.db import connection

    from coordination.record.chaining import GENESIS, hash_of
    from coordination.record.models import Chain
    from coordination.record.verification import Verified, verify_stream

    file, stream = str(path_of(report.blob)), site.project.stream
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'record_event'")
        for (name,) in cursor.fetchall():
            cursor.execute(f'DROP TRIGGER "{name}"')
        prev = GENESIS
        for event in Event.objects.filter(stream=stream).order_by("seq"):
            event.prev = prev
            if event.seq == 2:
                event.body = event.body.replace("{", '{"forged":1,', 1)
            prev = event.hash = hash_of(event)
            cursor.execute(
                "UPDATE record_event SET prev = %s, hash = %s, body = %s WHERE id = %s",
                [event.prev, event.hash, event.body, event.pk],
            )
    Chain.objects.filter(stream=stream).update(head=prev)
    assert isinstance(verify_stream(stream), Verified)
    code, said = run("verify_record", "--report", file)
    assert (code, "written anew" in said) == (1, True)
