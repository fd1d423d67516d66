"""Marks over a photo: where their points say, inside the frame, the same on every copy, cased, numbered."""

import re
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coordination.pictures.marks import (
    ACROSS,
    BANDS,
    COLUMNS,
    DOWN,
    FULL,
    ROWS,
    UNIT_ON_PAPER,
    PhotoMark,
    box_of,
    centre_of,
    marked_photo,
    overlay,
    squares,
    whereabouts,
)
from coordination.pictures.pen import SCREEN, PictureError
from coordination.pictures.typeface import width_of
from tests.pictures.reading import parse

SVG = "{http://www.w3.org/2000/svg}"
BOX = (66.0, 66.0)
XMLNS = 'xmlns="http://www.w3.org/2000/svg" '
parts = st.integers(0, FULL)
points = st.tuples(parts, parts)
marks = st.builds(
    PhotoMark,
    number=st.integers(1, 99),
    kind=st.sampled_from(["arrow", "ring", "dimension"]),
    start=points,
    end=points,
    label=st.sampled_from(["", '28 3/4"', "2857 mm"]),
).filter(lambda mark: mark.start != mark.end)
frames = st.tuples(st.integers(320, 4000), st.integers(320, 4000))


def square_of(point: tuple[int, int]) -> str:
    """The square in which a point lies: a letter across, a figure down."""
    across = min(point[0] * len(COLUMNS) // FULL, len(COLUMNS) - 1)
    return f"{COLUMNS[across]}{min(point[1] * ROWS // FULL, ROWS - 1) + 1}"


def of_screen(*drawn: PhotoMark) -> ElementTree.Element:
    """The overlay, parsed; on a page the namespace is HTML's business."""
    return parse(overlay(drawn, prefix="m").replace("<svg ", f"<svg {XMLNS}", 1))


def of_paper(width: int, height: int, *drawn: PhotoMark) -> ElementTree.Element:
    svg = marked_photo(drawn, photo="a.jpg", width=width, height=height, box=BOX, prefix="m", inks=SCREEN)
    return parse(svg)


def part(text: str) -> float:
    """A percentage as written, in ten-thousandths."""
    assert text.endswith("%")
    return float(text[:-1]) * 100


def shapes(root: ElementTree.Element, number: int = 1) -> list[ElementTree.Element]:
    """The strokes of one mark: casing first, then core."""
    [group] = [one for one in root.iter(f"{SVG}g") if one.get("data-mark") == str(number)]
    return [one for one in group if one.tag in {f"{SVG}line", f"{SVG}ellipse"}]


def ends_of(shape: ElementTree.Element) -> tuple[tuple[float, float], tuple[float, float]]:
    """The two points of a stroke in ten-thousandths; of a ring, the corners of its box."""
    if shape.tag == f"{SVG}line":
        x1, y1, x2, y2 = (part(shape.get(name)) for name in ("x1", "y1", "x2", "y2"))
        return (x1, y1), (x2, y2)
    cx, cy, rx, ry = (part(shape.get(name)) for name in ("cx", "cy", "rx", "ry"))
    return (cx - rx, cy - ry), (cx + rx, cy + ry)


def slip_of(root: ElementTree.Element, width: float, height: float) -> tuple[float, float, float, float]:
    """Left, top, right, bottom of the first mark's slip of paper on a photo of that size."""
    [slip] = [one for one in root.iter(f"{SVG}svg") if one.get("overflow") == "visible"]
    x, y = part(slip.get("x")) * width / FULL, part(slip.get("y")) * height / FULL
    boxes = [
        {key: float(one.get(key)) for key in ("x", "y", "width", "height")} for one in slip.iter(f"{SVG}rect")
    ]
    return (
        x + min(one["x"] for one in boxes),
        y + min(one["y"] for one in boxes),
        x + max(one["x"] + one["width"] for one in boxes),
        y + max(one["y"] + one["height"] for one in boxes),
    )  # fmt: skip


@given(marks)
def test_a_mark_lies_where_its_points_say_and_inside_the_photo(mark: PhotoMark) -> None:
    wanted = (mark.start, mark.end)
    if mark.kind == "ring":
        (x1, y1), (x2, y2) = wanted
        wanted = (min(x1, x2), min(y1, y2)), (max(x1, x2), max(y1, y2))
    for root in (of_screen(mark), of_paper(1600, 1200, mark), of_paper(240, 320, mark)):
        casing, core = shapes(root, mark.number)
        for shape in (casing, core):
            for found, point in zip(ends_of(shape), wanted, strict=True):
                assert found == pytest.approx(point, abs=1.5)
                assert all(-1 <= number <= FULL + 1 for number in found)
        assert float(casing.get("stroke-width")) > 2 * float(core.get("stroke-width"))
        assert casing.get("stroke") != core.get("stroke")


@given(marks, frames)
def test_the_number_stays_on_the_photo_whatever_its_size(mark: PhotoMark, frame: tuple[int, int]) -> None:
    width, height = frame
    unit = UNIT_ON_PAPER * max(frame) / BOX[0]
    for root, size in ((of_screen(mark), frame), (of_paper(width, height, mark), frame)):
        left, top, right, bottom = slip_of(root, *size)
        if right - left < min(frame) / 2 - 14 * unit:
            assert -1 <= left < right <= size[0] + 1
            assert -1 <= top < bottom <= size[1] + 1


@given(marks)
def test_the_words_fit_their_slip(mark: PhotoMark) -> None:
    root = of_screen(mark)
    [slip] = [one for one in root.iter(f"{SVG}svg") if one.get("overflow") == "visible"]
    boxes, words = list(slip.iter(f"{SVG}rect")), list(slip.iter(f"{SVG}text"))
    assert [one.text for one in words] == [str(mark.number), *([mark.label] if mark.label else [])]
    for box, text in zip(boxes, words, strict=True):
        assert width_of(text.text, float(text.get("font-size")), "semibold") + 4 <= float(box.get("width"))


def test_an_arrow_has_one_head_at_its_end_and_a_dimension_two_ends() -> None:
    root = of_screen(
        PhotoMark(1, "arrow", (0, 0), (5000, 5000)), PhotoMark(2, "dimension", (100, 100), (5000, 100), "1 m")
    )
    arrow, dimension = shapes(root, 1)[1], shapes(root, 2)[1]
    assert (arrow.get("marker-start"), arrow.get("marker-end")) == (None, "url(#m-tip-accent)")
    assert dimension.get("marker-start") == dimension.get("marker-end") == "url(#m-tick-accent)"
    asked = set(re.findall(r"url\(#([^)]+)\)", ElementTree.tostring(root, "unicode")))
    assert asked == {one.get("id") for one in root.iter(f"{SVG}marker")}


def test_marks_are_no_pins_and_no_discs_and_carry_no_style() -> None:
    drawn = overlay([PhotoMark(1, "arrow", (0, 0), (5000, 5000))], prefix="m")
    assert "<circle" not in drawn
    assert "style" not in drawn
    assert "<ellipse" not in drawn
    assert 'aria-hidden="true"' in drawn


def test_no_marks_draw_nothing() -> None:
    assert [child.tag for child in of_screen()] == []


def test_on_paper_the_photo_lies_below_in_its_own_size() -> None:
    root = of_paper(1200, 1600, PhotoMark(1, "ring", (0, 0), (5000, 5000)))
    image = root.find(f"{SVG}image")
    assert [image.get(name) for name in ("href", "x", "y", "width", "height")] == [
        "a.jpg",
        "0",
        "0",
        "1200",
        "1600",
    ]
    assert (root.get("viewBox"), list(root).index(image)) == ("0 0 1200 1600", 0)  # fmt: skip


@given(points)
def test_a_point_lies_in_the_square_that_is_named_for_it(point: tuple[int, int]) -> None:
    (left, top), (right, bottom) = box_of(square_of(point))
    assert left <= point[0] <= right + 1
    assert top <= point[1] <= bottom + 1
    assert square_of(centre_of(square_of(point))) == square_of(point)


def test_the_squares_cover_the_photo_once() -> None:
    every = [f"{letter}{row}" for letter in COLUMNS for row in range(1, ROWS + 1)]
    boxes = [box_of(square) for square in every]
    assert len({centre_of(square) for square in every}) == 12 * 9
    area = sum((right - left) * (bottom - top) for (left, top), (right, bottom) in boxes)
    assert area == FULL * FULL
    drawn = parse(squares(prefix="s").replace("<svg ", f"<svg {XMLNS}", 1))
    named = [one.text for one in drawn.iter(f"{SVG}text")]
    assert sorted(named) == sorted(
        {f"{letter}1" for letter in COLUMNS} | {f"A{row}" for row in range(1, ROWS + 1)}
    )


@pytest.mark.parametrize("square", ["", "A", "A0", "A10", "M1", "1A", "A 1", "AA"])
def test_what_is_no_square_is_refused(square: str) -> None:
    with pytest.raises(PictureError, match="A1 to L9"):
        box_of(square)


@given(points)
def test_where_it_lies_is_the_same_word_mirrored(point: tuple[int, int]) -> None:
    across, down = whereabouts(point)
    mirrored = whereabouts((FULL - 1 - point[0], FULL - 1 - point[1]))
    if not {point[0], point[1]} & {*BANDS, *(FULL - 1 - limit for limit in BANDS), FULL}:
        assert (ACROSS.index(across), DOWN.index(down)) == (
            4 - ACROSS.index(mirrored[0]),
            4 - DOWN.index(mirrored[1]),
        )
