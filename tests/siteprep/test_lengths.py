import pytest
from hypothesis import given
from hypothesis import strategies as st

from coordination.siteprep.lengths import (
    FINEST,
    FOOT,
    INCH,
    MILLIMETRE,
    LengthError,
    exact_length,
    format_length,
    parse_length,
)


@pytest.mark.parametrize(
    ("typed", "nm"),
    [
        ('14"', 14 * INCH),
        ("9' 4 1/2\"", 9 * FOOT + 4 * INCH + INCH // 2),
        ("9'-4 1/2\"", 9 * FOOT + 4 * INCH + INCH // 2),
        ("9 ft 4-1/2 in", 9 * FOOT + 4 * INCH + INCH // 2),
        ("9′ 4½″", 9 * FOOT + 4 * INCH + INCH // 2),
        ("9' 1/2\"", 9 * FOOT + INCH // 2),
        ("9 pies 4 1/2 pulg.", 9 * FOOT + 4 * INCH + INCH // 2),
        ("1 pie 3 pulgadas", 15 * INCH),
        ("14 plg", 14 * INCH),
        ("9'", 9 * FOOT),
        ("9' 4", 9 * FOOT + 4 * INCH),
        ("9.5 ft", 9 * FOOT + 6 * INCH),
        ("-1' 2\"", -14 * INCH),
        ('1/64"', 396_875),
        ('+1/16"', INCH // 16),
        (" + ½ in", INCH // 2),
        ('0.375"', 3 * INCH // 8),
        ("4''", 4 * INCH),
        ("2857 mm", 2857 * MILLIMETRE),
        ("2 857 mm", 2857 * MILLIMETRE),
        ("2.857 m", 2857 * MILLIMETRE),
        ("285.7cm", 2857 * MILLIMETRE),
        ("0.000001 mm", 1),
    ],
)
def test_a_length_is_read_exactly(typed, nm):
    assert parse_length(typed) == nm


def test_a_bare_number_needs_to_be_told_its_system():
    assert parse_length("14", "us") == 14 * INCH
    assert parse_length("4 1/2", "us") == 4 * INCH + INCH // 2
    assert parse_length("14", "metric") == 14 * MILLIMETRE


@pytest.mark.parametrize(
    ("typed", "reason"),
    [
        ("14", "no unit"),
        ("", "not a length"),
        ("about 9 ft", "not a length"),
        ("9' 14\"", "inches over a foot"),
        ('1/0"', "division by nothing"),
        ('1/3"', "finer than a nanometre"),
        ('1/128"', "finer than a nanometre"),
        ("2,857 mm", "comma in number"),
        ("14 yd", "not a length"),
        ("1e3 mm", "not a length"),
        ('--4"', "not a length"),
        ('+-4"', "not a length"),
        ('±1/16"', "not a length"),
    ],
)
def test_what_is_no_length_is_refused_with_its_reason(typed, reason):
    with pytest.raises(LengthError) as refused:
        parse_length(typed)
    assert (refused.value.reason, refused.value.typed) == (reason, typed)


@pytest.mark.parametrize(
    ("nm", "us", "metric"),
    [
        (0, '0"', "0 mm"),
        (14 * INCH, "1' 2\"", "355.6 mm"),
        (9 * FOOT, "9' 0\"", "2 743.2 mm"),
        (9 * FOOT + 4 * INCH + INCH // 2, "9' 4 1/2\"", "2 857.5 mm"),
        (9 * FOOT + INCH // 2, "9' 0 1/2\"", "2 755.9 mm"),
        (-14 * INCH, "-1' 2\"", "-355.6 mm"),
        (FINEST, '1/64"', "≈ 0.4 mm"),
        (2857 * MILLIMETRE, "≈ 9' 4 1/2\"", "2 857 mm"),
        (12_345_678 * MILLIMETRE, "≈ 40504' 2 5/16\"", "12 345 678 mm"),
    ],
)
def test_a_length_is_written_as_a_site_writes_it(nm, us, metric):
    assert (format_length(nm), format_length(nm, "metric")) == (us, metric)


@given(st.integers(-(10**7), 10**7))
def test_every_sixty_fourth_comes_back_from_feet_and_inches(steps):
    assert parse_length(format_length(steps * FINEST)) == steps * FINEST


@given(st.integers(-(10**7), 10**7))
def test_every_tenth_of_a_millimetre_comes_back_from_metric(tenths):
    assert parse_length(format_length(tenths * 100_000, "metric")) == tenths * 100_000


@given(st.integers(-(10**13), 10**13))
def test_any_length_at_all_has_a_text_that_comes_back(nm):
    assert parse_length(exact_length(nm)) == nm


@given(st.integers(-(10**12), 10**12), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_a_rounded_length_is_marked_and_off_by_at_most_half_a_step(nm, denominator):
    text = format_length(nm, "us", denominator)
    if text.startswith("≈ "):
        assert abs(parse_length(text[2:]) - nm) * 2 * denominator <= INCH
    else:
        assert parse_length(text) == nm
