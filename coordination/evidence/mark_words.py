"""Marks in words: what a reader who does not see the photo is told, and what a refusal says."""

import re
from collections.abc import Mapping
from typing import Any

from django.conf import settings
from django.utils import translation
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from coordination.pictures.marks import PhotoMark, whereabouts

KINDS: Mapping[str, str | Promise] = {
    "arrow": pgettext_lazy("mark", "arrow"),
    "ring": pgettext_lazy("mark", "ring"),
    "dimension": pgettext_lazy("mark", "dimension"),
}
ACROSS: Mapping[str, str | Promise] = {
    "far left": gettext_lazy("at the left edge"),
    "left": gettext_lazy("left side"),
    "middle": pgettext_lazy("on a photo", "middle"),
    "right": gettext_lazy("right side"),
    "far right": gettext_lazy("at the right edge"),
}
DOWN: Mapping[str, str | Promise] = {
    "top": gettext_lazy("at the top"),
    "third": gettext_lazy("a third down"),
    "half": gettext_lazy("halfway down"),
    "two thirds": gettext_lazy("two thirds down"),
    "bottom": gettext_lazy("at the bottom"),
}


def frozen(row: Any) -> dict[str, Any]:
    """A mark's row as plain values, as a snapshot keeps it; the functions below read this."""
    return {
        "number": row.number,
        "kind": row.kind,
        "points": [list(point) for point in row.points],
        "words": row.words,
        "typed": row.typed,
    }


def drawn(mark: Mapping[str, Any]) -> PhotoMark:
    """A mark as the drawing takes it."""
    (x1, y1), (x2, y2) = mark["points"]
    return PhotoMark(mark["number"], mark["kind"], (x1, y1), (x2, y2), mark["typed"])


def place_words(point: tuple[int, int]) -> str:
    """Where a point lies on the photo: "left side, a third down"."""
    across, down = whereabouts(point)
    return f"{ACROSS[across]}, {DOWN[down]}"


def line_of(mark: Mapping[str, Any]) -> str:
    """The mark in a line: "2, ring, left side, a third down: blocking stops short"."""
    told = {
        "number": mark["number"],
        "kind": KINDS[mark["kind"]],
        "place": place_words(drawn(mark).point),
        "words": said_by(mark),
    }
    return _("%(number)s, %(kind)s, %(place)s: %(words)s") % told


def said_by(mark: Mapping[str, Any]) -> str:
    """What the mark says: the stated length first, then its words."""
    return ", ".join(filter(None, (mark["typed"], mark["words"])))


def reason_of(mark: Mapping[str, Any]) -> str:
    """The sentence under which a mark is a reason of a refusal."""
    return _("Mark %(number)s: %(words)s") % {"number": mark["number"], "words": said_by(mark)}


def as_read(reason: str) -> str:
    """A reason that names a mark, in the reader's language; any other as it is. What people wrote stays."""
    for pattern in _ways_to_name_a_mark():
        if found := pattern.fullmatch(reason):
            return _("Mark %(number)s: %(words)s") % found.groupdict()
    return reason


def _ways_to_name_a_mark() -> tuple[re.Pattern[str], ...]:
    """How ``reason_of`` writes in each language."""
    found = dict[str, None]()
    for code, _name in settings.LANGUAGES:
        with translation.override(code):
            found[_("Mark %(number)s: %(words)s")] = None
    return tuple(re.compile(_pattern(written), re.DOTALL) for written in found)


def _pattern(written: str) -> str:
    return (
        re.escape(written)
        .replace(r"%\(number\)s", r"(?P<number>\d+)")
        .replace(r"%\(words\)s", "(?P<words>.+)")
    )
