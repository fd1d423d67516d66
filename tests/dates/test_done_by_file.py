"""The contractor's table of days, as spreadsheets save it."""

import csv
import io
from datetime import date, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coordination.access.refusals import Reason
from coordination.access.sentences import sentence
from coordination.dates.done_by_file import (
    COLUMNS,
    FileRefused,
    StatedRow,
    most_of,
    read_days,
    write_days,
)
from coordination.dates.sentences import SENTENCES
from coordination.dates.typed_days import UnclearDay, read_day

THIRD = date(2026, 4, 3)


@pytest.mark.parametrize(
    "typed",
    [
        "2026-04-03",
        "2026-4-3",
        " 2026-04-03 ",
        "2026-04-03 00:00:00",
        "2026-04-03T00:00",
        "2026/04/03",
        "3 Apr 2026",
        "3 April 2026",
        "03-Apr-2026",
        "3-Apr-26",
        "3. apr. 2026",
        "Apr 3, 2026",
        "April 3rd, 2026",
        "Fri, 3 Apr 2026",
        "Friday 3 April 2026",
        "Friday, April 3, 2026",
        "3 de abril de 2026",
        "3 abr 2026",
    ],
)
def test_days_that_can_only_be_one(typed: str) -> None:
    assert read_day(typed) == THIRD


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("25/12/2026", date(2026, 12, 25)),
        ("12/25/2026", date(2026, 12, 25)),
        ("5/5/2026", date(2026, 5, 5)),
        ("31.3.26", date(2026, 3, 31)),
    ],
)
def test_numbers_that_fit_one_order_only(typed: str, day: date) -> None:
    assert read_day(typed) == day


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("3/4/2026", "3/4/2026 can be read as 2026-04-03 or as 2026-03-04; write the one you mean like that."),
        ("03.04.2026", "03.04.2026 can be read as 2026-04-03 or as 2026-03-04; write the one you mean like that."),
        ("3-4-26", "3-4-26 can be read as 2026-04-03 or as 2026-03-04; write the one you mean like that."),
        ("2026-02-30", "there is no such day as 2026-02-30; write it as 2026-04-03."),
        ("31 Apr 2026", "there is no such day as 31 Apr 2026; write it as 2026-04-03."),
        ("46115", ("46115 is a spreadsheet’s own number for a day; format the column as a date (2026-04-03) and save "
                  "again.")),
        ("3 Foo 2026", "3 Foo 2026 is no day; write it as 2026-04-03 or 3 Apr 2026."),
        ("tomorrow", "tomorrow is no day; write it as 2026-04-03 or 3 Apr 2026."),
        ("2026-04-03 07:30", "2026-04-03 07:30 is no day; write it as 2026-04-03 or 3 Apr 2026."),
    ],
)  # fmt: skip
def test_days_that_are_refused_with_what_would_be_right(typed: str, words: str) -> None:
    with pytest.raises(UnclearDay) as caught:
        read_day(typed)
    reason = caught.value.reason
    told = sentence(type(reason)(reason.key, {**reason.args, "line": 4, "column": "done by"}), SENTENCES)
    assert told == f"Line 4, column “done by”: {words}"


@pytest.mark.parametrize("form", ["%Y-%m-%d", "%d %B %Y", "%b %d, %Y", "%a, %d-%b-%y"])
def test_every_written_day_of_four_years_is_read_back(form: str) -> None:
    days = [date(2026, 1, 1) + timedelta(days=n) for n in range(1461)]
    assert [read_day(day.strftime(form)) for day in days] == days


def read(text: str) -> list[StatedRow]:
    return read_days(text.encode())


def refused(content: bytes | str) -> list[str]:
    with pytest.raises(FileRefused) as caught:
        read_days(content if isinstance(content, bytes) else content.encode())
    return [sentence(reason, SENTENCES) for reason in caught.value.reasons]


ROWS = [
    StatedRow(2, "package", "walls", {"done_by": THIRD}),
    StatedRow(3, "task", "close@rail-wall", {"done_by": None}),
]
PLAIN = "kind,key,done by\npackage,walls,2026-04-03\ntask,close@rail-wall,\n"


@pytest.mark.parametrize(
    "content",
    [
        PLAIN.encode(),
        ("\ufeff" + PLAIN).encode(),
        PLAIN.replace("\n", "\r\n").encode(),
        PLAIN.replace("\n", "\r").encode(),
        PLAIN.replace(",", ";").encode(),
        PLAIN.replace(",", "\t").encode("utf-16"),
        PLAIN.replace("2026-04-03", '"Apr 3, 2026"').encode(),
        PLAIN.replace("kind,key,done by", "KIND , Key,Done_By").encode(),
        PLAIN.replace("\npackage", "\npackage ").encode(),
        (PLAIN + "\n,,\n\n").encode(),
    ],
    ids=[
        "plain",
        "mark",
        "windows",
        "old mac",
        "semicolons",
        "utf-16 tabs",
        "quoted",
        "headings",
        "spaces",
        "blank",
    ],
)
def test_the_habits_of_spreadsheets(content: bytes) -> None:
    assert read_days(content) == ROWS


def test_a_line_that_names_the_separator_is_skipped_and_counted() -> None:
    assert read("sep=;\nkey;done by\nwalls;2026-04-03\n") == [StatedRow(3, "", "walls", {"done_by": THIRD})]


def test_names_in_the_code_page_of_an_old_spreadsheet_do_no_harm() -> None:
    assert read_days("key;name;done by\nwalls;Wände;3 Apr 2026\n".encode("cp1252")) == [
        StatedRow(2, "", "walls", {"done_by": THIRD})
    ]


def test_columns_that_are_not_there_stay_and_emptied_cells_are_taken_back() -> None:
    [row] = read("key,working days,not before,remarks\nsweep@pit,3,,ask Tom\n")
    assert row.wishes == {"own_duration": 3, "not_before": None}


def test_a_name_over_two_lines_keeps_the_count_of_lines() -> None:
    text = 'key,name,done by\na,"one\ntwo",2026-04-03\nb,x,nonsense\n'
    assert refused(text) == [
        "Line 4, column “done by”: nonsense is no day; write it as 2026-04-03 or 3 Apr 2026."
    ]


def test_every_wrong_line_is_named_at_once() -> None:
    text = "key,done by,working days\nwalls,3/4/2026,\n,2026-04-03,\nsweep@pit,,two\nb,2026-04-03,,x\n"
    assert refused(text) == [
        (
            "Line 2, column “done by”: 3/4/2026 can be read as 2026-04-03 or as 2026-03-04; write the one you mean like "
            "that."
        ),
        "Line 3, column “key”: it is empty; copy the key of the package or task from the download.",
        "Line 4, column “working days”: two is no whole number of working days; write one such as 3.",
        "Line 5 has cells after the last of its 3 columns; put a name with a comma in it between quotation marks.",
    ]


def test_a_key_that_stands_twice_is_named_with_both_lines() -> None:
    assert refused("key,done by\nwalls,2026-04-03\nwalls,2026-04-04\n") == [
        "Line 3, column “key”: walls stands in line 2 already; leave one of them."
    ]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "The file has no lines. Download the table, fill in the days, and send that."),
        (
            b"PK\x03\x04rest",
            "The file is a spreadsheet’s own; save it as CSV (comma-separated values) and send that.",
        ),
        (b"a\0b", "The file is a spreadsheet’s own; save it as CSV (comma-separated values) and send that."),
        (b"x" * 1_000_001, "The file is larger than 1000 kB; a table of days is much smaller."),
        (b'key,done by\nwalls,"2026', "Line 2 cannot be read: a quotation mark is opened and not closed."),
        (
            b"name,done by\nx,2026-04-03\n",
            "The column “key” is missing. The first line names the columns: " + ", ".join(COLUMNS) + ".",
        ),
        (
            b"key,name\nwalls,x\n",
            "No column of the file can be taken; name at least one of: done by, not before, working days.",
        ),
        (b"key,done by,Done By\nwalls,,\n", "The column “done by” stands in the file twice; leave one."),
        (b"key,done by\n" + b"walls,\n" * 5001, "The file has more than 5000 lines."),
    ],
)
def test_a_file_that_is_none(content: bytes, words: str) -> None:
    assert refused(content) == [words]


def test_no_more_is_said_than_a_person_can_read() -> None:
    reasons = [Reason("no day", {"line": line}) for line in range(100, 0, -1)]
    told = most_of(reasons)
    assert [reason.args.get("line", reason.args.get("number")) for reason in told] == [*range(1, 61), 40]
    assert told[-1].key == "and more"


RISKY = ["=1+1", "+1", "-1", "@x", "\tx", "=HYPERLINK(0)"]


def test_no_cell_is_a_formula_and_reading_takes_the_guard_away() -> None:
    rows = [
        ("task", f"{risky.strip()}@pit", risky, "", "", "", None, None, THIRD, None, 3) for risky in RISKY
    ]
    text = write_days(rows).decode("utf-8-sig")
    cells = [cell for line in csv.reader(io.StringIO(text)) for cell in line]
    assert [cell for cell in cells if cell.startswith(tuple("=+-@\t\r"))] == []
    assert [row.key for row in read_days(write_days(rows))] == [row[1] for row in rows]


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=50)
@given(
    st.lists(
        st.tuples(
            st.text(st.characters(exclude_categories=["Cs", "Cc", "Zs", "Zl", "Zp"]), min_size=1).filter(
                lambda key: not key.startswith("'")
            ),
            st.text(),
            st.none() | st.integers(-400, 400).map(lambda n: THIRD + timedelta(days=n)),
        ),
        unique_by=lambda row: row[0],
        max_size=5,
    )
)
def test_what_is_written_is_read_back(rows: list[tuple[str, str, date | None]]) -> None:
    content = write_days(
        ("task", key, name.replace("\0", ""), "", "", "", None, None, day, None, None)
        for key, name, day in rows
    )
    assert [(row.key, row.wishes["done_by"]) for row in read_days(content)] == [
        (key, day) for key, _name, day in rows
    ]
