"""Each kind of paper of a frozen site, read by an independent validator, by qpdf and by pdftotext."""

import subprocess
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pypdf
import pytest

from coordination.gates.queries import look_at
from coordination.handover.brief import brief_order
from coordination.handover.contact_sheets import contact_sheet_order, sheet_of_place
from coordination.handover.final_words import final_order
from coordination.handover.sheet_paper import reader_of
from coordination.handover.weekly import week_orders
from coordination.handover.whole import whole_of
from coordination.paper import Order, render_pdf
from coordination.projects.trade_words import speaking
from tests.gates.sites import Site
from tests.paper.test_validator import broken_rules
from tests.paper.validating import BOTH

__all__ = ["broken_rules"]

TODAY = date(2026, 3, 3)
TOLD = {"language": "en-us", "paper": "letter"}


def contact(site: Site) -> Order:
    told = whole_of(site.project, site.step())
    sheet = sheet_of_place(told, reader_of(told, "en-us"), "rail-wall")
    assert sheet is not None
    return contact_sheet_order(told, sheet, **TOLD)


KINDS: dict[str, Callable[[Site], Order]] = {
    "contact sheet": contact,
    "final list": lambda site: final_order(whole_of(site.project, site.step()), **TOLD),
    "brief": lambda site: brief_order(look_at(site.project, site.step()), TODAY, **TOLD),
    "week": lambda site: next(
        week_orders(look_at(site.project, site.step()), TODAY, for_owner=False, **TOLD)
    ),
}
WORDS = {
    "contact sheet": ("Evidence: Rail wall", "Photos", "Readings, documents, signatures"),
    "final list": (
        "Final handover: what is there, what is missing",
        "What the acceptance inspection expects",
        "Days to keep",
    ),
    "brief": ("Site-preparation brief", "The order of work", "Questions to be settled", "Framing"),
    "week": (
        "Week to March 3, 2026",
        "Done this week",
        "What holds up, and who owes it",
        "Visits and gates to come",
    ),
}


@pytest.mark.parametrize("kind", KINDS)
def test_it_is_archival_and_accessible_and_reads_in_order(
    site: Site,
    kind: str,
    broken_rules,
    tmp_path: Path,
) -> None:
    with speaking("us"):
        order = KINDS[kind](site)
    pdf = render_pdf(order)
    assert [broken_rules(profile, pdf) for profile in BOTH] == [set(), set()]
    path = tmp_path / "paper.pdf"
    path.write_bytes(pdf)
    subprocess.run(["qpdf", "--check", str(path)], check=True, capture_output=True, timeout=60)
    printed = subprocess.run(
        ["pdftotext", str(path), "-"], check=True, capture_output=True, timeout=60, text=True
    )
    text = " ".join(printed.stdout.split())
    places = [text.find(words) for words in WORDS[kind]]
    assert -1 not in places, text
    assert places == sorted(places)
    reader = pypdf.PdfReader(path)
    assert reader.metadata is not None
    assert reader.metadata.title == order.title
    assert reader.outline
    assert pdf == render_pdf(order)
