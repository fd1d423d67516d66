"""Series of readings: read cell by cell, judged, and whatever is not there or cannot be read is named."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coordination.evidence.pasting import filled, read_pasted
from coordination.evidence.series import TypedCell, is_series, kept_cells, read_cells, read_moment, series_of

INCH = 25_400_000
PLUMB = {
    "unit": "length",
    "high": INCH // 2,
    "series": {
        "rows": [
            {"key": "landing-1", "text": {"en": "Landing 1 (Hall)", "es": "Piso 1 (Hall)"}},
            {"key": "landing-2", "text": {"en": "Landing 2", "es": "Piso 2"}},
            {"key": "landing-3", "text": {"en": "Landing 3", "es": "Piso 3"}},
        ],
        "columns": [
            {"key": "left", "text": {"en": "Left wall", "es": "Muro izquierdo"}},
            {"key": "north", "text": {"en": "North wall", "es": "Muro norte"}},
        ],
        "judged": "out of plumb",
    },
}
LUX = {**PLUMB, "unit": "lux", "low": 100, "high": None, "series": {**PLUMB["series"], "judged": "each"}}
LUX["series"]["columns"] = [{"key": "reading", "text": {"en": "Reading", "es": "Lectura"}}]
WARM = {
    "unit": "degree C",
    "low": 10,
    "series": {
        "rows": [],
        "columns": [
            {"key": "plate", "text": {"en": "Under the plate", "es": "Bajo la placa"}},
            {"key": "edge", "text": {"en": "Coldest edge", "es": "Borde más frío"}},
        ],
        "judged": "least",
        "by_day": True,
    },
}
GRID = [("landing-1", "left", '6"'), ("landing-1", "north", "2' 3\""), ("landing-2", "left", '6 1/4"'),
        ("landing-2", "north", "685.8 mm"), ("landing-3", "left", "6,5"), ("landing-3", "north", '27 1/8"')]  # fmt: skip


def cells(*told):
    return [TypedCell(*each) for each in told]


def laid(terms, text):
    found = read_pasted(series_of(terms), text)
    return [(cell.row, cell.column, cell.typed) for cell in found.cells], [
        (fault.row, fault.column, fault.typed, fault.reason.key) for fault in found.faults
    ]


def test_feet_and_inches_metric_and_a_decimal_comma_stand_in_one_grid_exactly():
    found = read_cells(PLUMB, cells(*GRID), "us")
    assert [cell.value for cell in found.cells] == [
        6 * INCH, 27 * INCH, 6 * INCH + INCH // 4, 27 * INCH, 6 * INCH + INCH // 2, 27 * INCH + INCH // 8,
    ]  # fmt: skip
    assert (found.figure, found.in_tolerance, found.missing, found.faults) == (INCH // 2, True, (), ())


def test_what_lies_outside_is_said_of_the_cells_that_are_too_far_apart():
    found = read_cells(PLUMB, cells(*GRID[:4], ("landing-3", "left", '6 9/16"'), GRID[5]), "us")
    assert found.in_tolerance is False
    assert [(cell.row, cell.column) for cell in found.cells if not cell.inside] == [
        ("landing-1", "left"),
        ("landing-3", "left"),
    ]


def test_empty_cells_are_named_and_such_a_series_never_counts_as_inside():
    found = read_cells(PLUMB, cells(*GRID[:5]), "us")
    assert (found.inside, found.in_tolerance, found.missing) == (True, False, (("landing-3", "north"),))


def test_a_cell_that_cannot_be_read_is_named_and_the_others_are_read():
    found = read_cells(PLUMB, cells(*GRID[:5], ("landing-3", "north", "4 foot 14")), "us")
    assert [(fault.row, fault.column, fault.typed, fault.reason.key) for fault in found.faults] == [
        ("landing-3", "north", "4 foot 14", "not a length")
    ]
    assert len(found.cells) == 5


def test_each_reading_is_judged_by_itself_where_nothing_is_compared():
    told = cells(
        ("landing-1", "reading", "120 lx"), ("landing-2", "reading", "9 fc"), ("landing-3", "reading", "100")
    )
    found = read_cells(LUX, told, "us")
    assert [cell.inside for cell in found.cells] == [True, False, True]
    assert (found.figure, found.in_tolerance) == (None, False)


def test_a_series_over_days_is_put_in_order_and_each_row_has_its_own_moment():
    told = cells(
        ("2026-03-03 7:00 am", "plate", "52 F"), ("2026-03-02T07:00", "plate", "60 F"),
        ("2026-03-02T07:00", "edge", "55 F"), ("3 Mar 2026 07:00", "edge", "51 F"),
    )  # fmt: skip
    found = read_cells(WARM, told, "us")
    assert found.rows == ("2026-03-02T07:00", "2026-03-03T07:00")
    assert [fault.reason.key for fault in found.faults] == ["the same moment twice"]
    assert found.figure == pytest.approx(10.5555556)


@pytest.mark.parametrize(
    ("typed", "moment"),
    [
        ("2026-03-02", "2026-03-02T12:00"),
        ("2026-03-02T07:30", "2026-03-02T07:30"),
        ("2026-03-02 19:05:00", "2026-03-02T19:05"),
        ("Mar 2, 2026 7:15 PM", "2026-03-02T19:15"),
        ("2 marzo 2026 6 a.m.", "2026-03-02T06:00"),
    ],
)
def test_a_moment_is_read_as_people_write_it(typed, moment):
    assert read_moment(typed) == moment


def test_a_series_keeps_every_cell_as_typed_and_comes_back():
    value = read_cells(PLUMB, cells(*GRID), "us").as_value()
    assert is_series(value)
    assert [(cell.row, cell.column, cell.typed) for cell in kept_cells(value)] == GRID
    assert (value["figure"], value["missing"], value["unit"]) == (INCH // 2, [], "length")


PLAIN = '6"\t2\' 3"\n6 1/4"\t685.8 mm\n6,5\t27 1/8"'
NAMED = '\tNorth wall\tLeft wall\nLanding 3\t27 1/8"\t6,5\nlanding 1 (hall)\t2\' 3"\t6"\nLANDING 2\t685.8 mm\t6 1/4"\n'
TURNED = '\tPiso 2\tPiso 1 (Hall)\tPiso 3\nMuro norte\t685.8 mm\t2\' 3"\t27 1/8"\nMuro izquierdo\t6 1/4"\t6"\t6,5\n'
QUOTED = (
    'level;left;north\nlanding-1;"6""";"2\' 3"""\nlanding-2;"6 1/4""";685.8 mm\nlanding-3;6,5;"27 1/8"""\n'
)


@pytest.mark.parametrize("text", [PLAIN, NAMED, TURNED, QUOTED, "\ufeff" + NAMED.replace("\n", "\r\n")])
def test_lines_of_a_spreadsheet_find_their_cells_in_any_order_and_language(text):
    found, faults = laid(PLUMB, text)
    assert (sorted(found), faults) == (sorted(GRID), [])


def test_commas_part_the_cells_only_where_every_line_has_as_many_as_the_grid():
    assert laid(PLUMB, "6,27\n6.25,27\n6.5,27.125")[0][:2] == [
        ("landing-1", "left", "6"),
        ("landing-1", "north", "27"),
    ]
    assert laid(LUX, "120,5\n130,5\n140,5")[0] == [
        ("landing-1", "reading", "120,5"), ("landing-2", "reading", "130,5"), ("landing-3", "reading", "140,5"),
    ]  # fmt: skip


def test_what_has_no_place_in_the_grid_is_named_and_the_rest_is_laid():
    found, faults = laid(PLUMB, '\tLeft wall\tRoof\nLanding 1\t6"\t9"\nLanding 9\t6"\t\nLanding 2\t6 1/4"\t')
    assert found == [("landing-1", "left", '6"'), ("landing-2", "left", '6 1/4"')]
    assert faults == [("landing-1", "", '9"', "no such column"), ("", "", "Landing 9", "no such row")]
    assert laid(LUX, "1\n2\n3\n4")[1] == [("", "", "4", "too many rows")]


def test_temperatures_over_days_are_pasted_with_day_and_hour_in_one_cell_or_two():
    apart = "Date\tTime\tColdest edge\tUnder the plate\n2026-03-02\t7:00 am\t55\t60\n2026-03-03\t7:00 am\t51\t52\n"
    together = "2026-03-02 07:00\t60\t55\n2026-03-03 07:00\t52\t51"
    for text in (apart, together):
        found, faults = laid(WARM, text)
        assert faults == []
        assert sorted(found) == sorted(
            [
                ("2026-03-02T07:00", "plate", "60"), ("2026-03-02T07:00", "edge", "55"),
                ("2026-03-03T07:00", "plate", "52"), ("2026-03-03T07:00", "edge", "51"),
            ]
        )  # fmt: skip
    assert laid(WARM, "yesterday\t60\t55")[1] == [("", "", "yesterday", "no moment")]


def test_a_formula_is_only_text():
    found, _faults = laid(LUX, "=1+1\n'=2+2\n-3")
    read = read_cells(LUX, cells(*found), "us")
    assert [fault.typed for fault in read.faults] == ["=1+1", "=2+2"]


def test_pasted_cells_lie_over_typed_ones():
    both = filled(cells(("a", "x", "1"), ("b", "x", "2")), cells(("b", "x", "3")), ("a", "b"))
    assert [(cell.row, cell.typed) for cell in both] == [("a", "1"), ("b", "3")]


@given(st.text(max_size=300), st.sampled_from([PLUMB, LUX, WARM]))
def test_no_text_breaks_the_reading(text, terms):
    found = read_pasted(series_of(terms), text)
    read_cells(terms, found.cells, "us")
