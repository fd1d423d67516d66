"""The style sheet that WeasyPrint lays under all others, without what costs most and papers do not use.

It gives each element a marker, two footnotes and three notes, styled one by one: seven styles where one is shared, and
with them most of the memory of a long paper. Only items of lists have markers; foot- and end notes no paper has.

Import it only when a paper is made: it loads WeasyPrint.
"""

import functools
import re
from importlib.resources import files
from typing import Any

import weasyprint
from weasyprint.css.counters import CounterStyle

MARKER = re.compile(r"^::marker \{", re.MULTILINE)
NOTE = re.compile(r"^::(?:foot)?note-\w+ \{.*\}$", re.MULTILINE)


class Page(weasyprint.HTML):  # type: ignore[misc]  # WeasyPrint has no types
    """HTML laid out over the leaner sheet."""

    def _ua_stylesheets(self, forms: bool = False) -> list[Any]:
        return [_leaner()]


@functools.cache
def _leaner() -> Any:
    return weasyprint.CSS(string=leaner(), counter_style=CounterStyle())


def leaner() -> str:
    """The text of the sheet. Another WeasyPrint may write it otherwise: then it stays as it is, and a test says so."""
    text = (files("weasyprint.css") / "html5_ua.css").read_text("utf-8")
    return NOTE.sub("", MARKER.sub(":is(li, summary)::marker {", text))
