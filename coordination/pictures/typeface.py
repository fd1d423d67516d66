"""How wide words are, so that labels can be wrapped and kept apart without a screen.

Widths are thousandths of the font size, per character the wider of Source Sans Pro 2.0 and Liberation Sans 2.1
(read from the fonts' own `hmtx` tables, rounded up to 10): a page on which the first font is missing and the
reader's own sans serif is used instead still has no label that runs into another.
"""

from typing import Final, Literal

Weight = Literal["regular", "semibold"]

FAMILY: Final = "'Source Sans Pro', 'Liberation Sans', Arial, sans-serif"

_REGULAR: Final[dict[int, str]] = {
    230: "ſ",
    250: "'ijįĵ‘’′",
    260: "l|¦ĺļ",
    270: "ł",
    280: " ,.:;I\xa0·ÌÍÎÏìíîïĨĩĪīĬĭĮİı",
    290: "!",
    300: "fľ",
    310: "[]",
    340: "()-t{}¡ţŧ",
    350: "/\\rŕŗř•",
    370: "ª²³¹ºŀ",
    380: "ť",
    400: "°",
    420: "*",
    430: '"“”″',
    500: "J^cksvxyzçýÿćĉċčĳĴķĸśŝşšŷźżž",
    550: "`¨±´¸÷≤≥",
    560: "#$0123456789?L_abdeghnopqu¢£¤¥§«¯¶»àáâãäåèéêëðñòóôõöùúûüþāăąđēĕėęěĝğġģĥħĹĻĽĿŁńņňŋōŏőũūŭůűų–",
    580: "µ",
    590: "+<=>~¬×",
    620: "FTZ¿ßøďŢŤŦŹŻŽ",
    670: "&ABEKPSVXYÀÁÂÃÄÅÈÉÊËÝÞĀĂĄĒĔĖĘĚĶŚŜŞŠŶŸ",
    730: "CDHNRUwÇÐÑÙÚÛÜĆĈĊČĎĐĤĦŃŅŇŊŔŖŘŨŪŬŮŰŲŵ",
    740: "®Ĳ",
    750: "©",
    780: "GOQÒÓÔÕÖØĜĞĠĢŉŌŎŐ",
    840: "Mm¼½¾",
    890: "%æ",
    950: "WœŴ",
    1000: "ÆŒ—…→←",
    1020: "@",
}
_SEMIBOLD: Final[dict[int, str]] = {
    280: " ',.ijl|\xa0¦·ìíîïĩīĭįıĵĺļſ‘’′",
    290: "IÌÍÎÏĨĪĬĮİł",
    340: "!()-:;[]f¡",
    350: "/\\•",
    370: "tªºţŧ",
    380: "²³¹",
    390: "r{}ľŕŗř",
    400: "°",
    440: "*",
    480: "ŀť",
    490: '"″',
    500: "zźżž“”",
    550: "`¨±´¸÷≤≥",
    560: "#$0123456789J_aceksvxy¢£¤¥§«¯»àáâãäåçèéêëýÿāăąćĉċčēĕėęěĳĴķĸśŝşšŷ–",
    580: "µ",
    590: "+<=>^~¬×",
    600: "¶",
    620: "?FLTZbdghnopqu¿ßðñòóôõöøùúûüþđĝğġģĥħĹĻĽĿŁńņňŋōŏőŢŤŦũūŭůűųŹŻŽ",
    670: "EPSVXYÈÉÊËÝÞĒĔĖĘĚŚŜŞŠŶŸ",
    720: "ď",
    730: "&ABCDHKNRUÀÁÂÃÄÅÇÐÑÙÚÛÜĀĂĄĆĈĊČĎĐĤĦĶŃŅŇŊŔŖŘŨŪŬŮŰŲ",
    740: "®",
    750: "©",
    780: "GOQwÒÓÔÕÖØĜĞĠĢŌŎŐŵ",
    790: "Ĳ",
    820: "ŉ",
    840: "M¼½¾",
    890: "%mæ",
    950: "WœŴ",
    980: "@",
    1000: "ÆŒ—…→←",
}
_UNLISTED: Final = 1000


def _by_character(table: dict[int, str]) -> dict[str, int]:
    return {character: width for width, characters in table.items() for character in characters}


_WIDTHS: Final[dict[Weight, dict[str, int]]] = {
    "regular": _by_character(_REGULAR),
    "semibold": _by_character(_SEMIBOLD),
}


def width_of(text: str, size: float, weight: Weight = "regular") -> float:
    """Width of one line of ``text`` at font ``size``, in the same unit as the size; never too small."""
    widths = _WIDTHS[weight]
    return sum(widths.get(character, _UNLISTED) for character in text) * size / 1000


def wrap(text: str, width: float, size: float, weight: Weight = "regular") -> tuple[str, ...]:
    """Lines of ``text`` that are each at most ``width`` wide; a word that is too long is cut with a hyphen.

    An empty text has no lines. A single character wider than ``width`` stands alone on its line.
    """
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if width_of(longer, size, weight) <= width:
            line = longer
            continue
        if line:
            lines.append(line)
        *whole, line = _cut(word, width, size, weight)
        lines.extend(whole)
    return (*lines, line) if line else tuple(lines)


def _cut(word: str, width: float, size: float, weight: Weight) -> list[str]:
    """``word`` in pieces that fit; every piece but the last ends in a hyphen."""
    pieces = []
    while len(word) > 1 and width_of(word, size, weight) > width:
        fits = _longest_start(word, width, size, weight)
        start, word = word[:fits], word[fits:]
        pieces.append(start if start.endswith("-") else f"{start}-")
    return [*pieces, word]


def _longest_start(word: str, width: float, size: float, weight: Weight) -> int:
    fits = 1
    while fits + 1 < len(word) and width_of(f"{word[: fits + 1]}-", size, weight) <= width:
        fits += 1
    inside = word.rfind("-", 1, fits + 1)
    return inside + 1 if inside > 0 else fits
