"""Text for a terminal or a plain file: indented lines, wrapped, nothing cut off."""

import textwrap
from collections.abc import Iterable, Iterator

WIDTH = 100
Line = tuple[int, str]


def as_text(lines: Iterable[Line]) -> str:
    """Lines of (depth, text), each wrapped below itself; an empty text is an empty line."""
    return "\n".join(_wrapped(depth, text) for depth, text in lines)


def titled(title: str, lines: Iterable[Line]) -> Iterator[Line]:
    """A part with its title, or nothing where it has no lines."""
    listed = list(lines)
    if listed:
        yield from [(0, ""), (0, title), *((depth + 1, text) for depth, text in listed)]


def table(headings: list[str], rows: list[list[str]], right: frozenset[int] = frozenset()) -> list[str]:
    """Rows in columns as wide as their widest cell; the columns ``right`` are set to the right."""
    widths = [max(len(row[n]) for row in [headings, *rows]) for n in range(len(headings))]
    return [
        "  ".join(
            cell.rjust(width) if n in right else cell.ljust(width)
            for n, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in [headings, *rows]
    ]


def _wrapped(depth: int, text: str) -> str:
    margin = "  " * depth
    return textwrap.fill(
        text,
        WIDTH,
        initial_indent=margin,
        subsequent_indent=margin + "    ",
        break_long_words=False,
        break_on_hyphens=False,
    )
