"""What a paper must keep in sight: official results by round, who could attend, and what was let go and why."""

import json
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from coordination.gates.models import Clearing
from coordination.handover.composing import compose_gate_report
from coordination.handover.final_words import FinalWords, final_order
from coordination.handover.whole import whole_of
from coordination.paper.rendering import render_pdf
from tests.handover.held_on_record import last_clearing, site_with_all
from tests.handover.wholes import US, whole
from tests.paper.validating import BOTH, broken_by

OLD = ("concessions_ended", "inspections", "witness_points", "rounds")


class Tables(HTMLParser):
    """Rows of the tables of one class: each cell as its words."""

    def __init__(self, html: str, name: str) -> None:
        super().__init__()
        self.rows: list[list[str]] = []
        self.name, self.inside, self.cell = name, False, False
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "table":
            self.inside = dict(attrs).get("class") == self.name
        elif self.inside and tag == "tr":
            self.rows.append([])
        elif self.inside and tag in {"td", "th"}:
            self.rows[-1].append("")
            self.cell = True

    def handle_endtag(self, tag: str) -> None:
        if tag in {"td", "th", "caption"}:
            self.cell = False
        if tag == "table":
            self.inside = False

    def handle_data(self, data: str) -> None:
        if self.cell and data.strip():
            self.rows[-1][-1] = f"{self.rows[-1][-1]} {' '.join(data.split())}".strip()


@pytest.fixture
def second(db: Any) -> Clearing:
    return last_clearing(site_with_all())


def html_of(clearing: Clearing) -> str:
    return compose_gate_report(clearing, language="en-us", paper="letter").html


def test_every_round_of_an_inspection_is_printed_with_what_was_not_passed(second: Clearing) -> None:
    html = html_of(second)
    _head, *rounds = Tables(html, "inspections").rows
    assert [(row[0], row[1], row[2], row[4].split(" they")[0]) for row in rounds] == [
        ("Electrical inspection Pit", "Electrical authority", "1", "passed"),
        ("Electrical inspection Pit", "Electrical authority", "2", "not passed"),
        ("Electrical inspection Pit", "Electrical authority", "3", "passed"),
    ]
    assert [row[3].split(" of ")[0] for row in rounds] == ["No. E-77", "No. E-78", "No. E-79"]
    assert "original No." in rounds[2][3]
    assert "they come again March" in rounds[1][4]
    _head, *items = Tables(html, "items").rows
    found = "Electrical inspection E-78"
    assert [(row[0], row[1], row[2], row[4]) for row in items] == [
        ("Receptacle box loose", found, "Pit", "accepted"),
        ("Cover missing", found, "Pit", "accepted"),
    ]
    assert items[0][3].startswith("Electrical, ")


def test_who_could_attend_was_told_when_and_came(second: Clearing) -> None:
    _head, [what, party, told, came] = Tables(html_of(second), "witnessed").rows
    assert (what, party, came) == (
        "Engineer looks at it backing, Rail wall",
        "Engineer of record",
        "attended: P. Quill came late",
    )
    assert told.startswith("by Bo Tran, March 2, 2026")
    assert told.endswith(": telephone told too late: 2 days of notice were asked for")


def test_what_was_let_go_keeps_what_does_not_conform_in_sight(second: Clearing) -> None:
    snapshot = json.loads(bytes(second.snapshot))
    html = html_of(second)
    _head, stands, ended = Tables(html, "let-go").rows
    wrong = snapshot["concessions"][0]["nonconformity"]["evidence"]
    assert stands[0] == "spread Concession · backing, Rail wall"
    assert stands[1:3] == ["shim ordered rail wall, left side", "two brackets"]
    assert stands[3].startswith("2' 8\", out of tolerance Bo Tran, March 3, 2026")
    assert stands[3].endswith(f"stays on record as {wrong}")
    assert ended[0].startswith("spread Deviation permit · backing, Rail wall ended March 2, 2026")
    assert ended[3] == "nothing was shown yet: it was given before"
    assert "Let go on this site and standing: 1 concession." in html
    for anchor in ("concessions", "inspections", "witness-points"):
        assert html.count(f'href="#{anchor}"') == html.count(f'id="{anchor}"') == 1


def test_a_snapshot_from_before_is_printed_without_them(second: Clearing) -> None:
    kept = json.loads(bytes(second.snapshot))
    for key in OLD:
        del kept[key]
    for each in kept["concessions"]:
        del each["quantity"], each["nonconformity"]
    second.snapshot = json.dumps(kept).encode()
    html = html_of(second)
    assert ("inspections" in html, "witness-points" in html) == (False, False)
    assert [row[2:4] for row in Tables(html, "let-go").rows[1:]] == [
        ["no day and no quantity set", "nothing was shown yet: it was given before"]
    ]


def test_the_final_list_has_them_and_older_ones_are_read_without(second: Clearing) -> None:
    site = whole_of(second.gate.task.project, second.cleared_at)
    html = final_order(site, language="en-us", paper="letter").html
    assert [len(Tables(html, name).rows) for name in ("inspections", "items", "witnessed", "let-go")] == [
        4,
        3,
        2,
        3,
    ]
    before = FinalWords(whole(), US)
    assert (before.inspections, before.items, before.witness_points, before.let_go) == ([], [], [], [])


def test_both_standards_are_kept_with_all_of_it(second: Clearing, tmp_path: Path) -> None:
    report = compose_gate_report(second, language="en-us", paper="letter").render()
    site = whole_of(second.gate.task.project, second.cleared_at)
    final = render_pdf(final_order(site, language="en-us", paper="letter"))
    assert [broken_by(profile, pdf, tmp_path) for pdf in (report, final) for profile in BOTH] == [set()] * 4
