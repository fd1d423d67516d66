from hypothesis import given
from hypothesis import strategies as st

from coordination.pictures.placing import clear_spot, spread
from coordination.pictures.typeface import width_of, wrap

WORDS = st.text(alphabet="abcdefghijklmnñopqrstuvwxyzáé- ", max_size=120)


@given(WORDS, st.floats(30, 300))
def test_wrapped_lines_fit_and_lose_nothing(text, width):
    lines = wrap(text, width, 13)
    assert all(width_of(line, 13) <= width for line in lines)
    assert "".join(lines).replace("-", "").replace(" ", "") == text.replace("-", "").replace(" ", "")


def test_widths_cover_the_font_the_pages_use():
    """Against the font's own tables, read by another library."""
    from pathlib import Path

    import font_source_sans_pro
    from fontTools.ttLib import TTFont

    folder = Path(font_source_sans_pro.__file__).parent / "files"
    for weight, name in (("regular", "Regular"), ("semibold", "Semibold")):
        font = TTFont(folder / f"SourceSansPro-{name}.ttf")
        names, advances = font.getBestCmap(), font["hmtx"]
        for character in "AÑzíW@…0159' \"¿½":
            true = advances[names[ord(character)]][0] / font["head"].unitsPerEm * 100
            assert true <= width_of(character, 100, weight) <= true * 1.5


@given(st.lists(st.tuples(st.floats(0, 900), st.floats(5, 80)), min_size=1, max_size=12))
def test_spread_blocks_keep_order_and_distance(blocks):
    blocks.sort()
    wanted, heights = [b[0] for b in blocks], [b[1] for b in blocks]
    tops = spread(wanted, heights, gap=4, low=0, high=2000)
    ends = [top + height for top, height in zip(tops, heights, strict=True)]
    assert all(tops[i + 1] - ends[i] >= 4 - 1e-6 for i in range(len(tops) - 1))
    assert tops[0] >= -1e-9
    assert ends[-1] <= 2000 + 1e-6


def test_spread_leaves_blocks_alone_that_have_room():
    assert spread([50, 150, 400], [20, 20, 20], gap=4, low=0, high=500) == (40, 140, 390)


@given(st.floats(0, 100), st.lists(st.tuples(st.floats(0, 100), st.floats(0, 20)), max_size=6))
def test_a_clear_spot_is_clear_or_there_is_none(wanted, taken):
    spans = [(start, start + length) for start, length in taken]
    spot = clear_spot(wanted, 5, spans, low=5, high=95)
    assert 5 <= spot <= 95
    clear = all(spot + 5 <= a or spot - 5 >= b for a, b in spans)
    grid_has_room = any(all(y + 5.01 <= a or y - 5.01 >= b for a, b in spans) for y in range(6, 95))
    assert clear or not grid_has_room
