"""What the components need beyond the framework's own tags."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from itertools import chain, repeat, zip_longest
from typing import Any

from django import template
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import pgettext

from coordination.access.telephones import dialled
from coordination.web.words import LOOKS, ROLES, Look

register = template.Library()
# So many letters fit beside each other on a phone, with the space between the columns.
NARROW, BETWEEN = 40, 2
PARTS = ("columns", "rows")


@register.filter
def look(state: str) -> Look:
    """Word, mark and tone of a state. Raises KeyError for a state that has none: a fault in our code."""
    return LOOKS[state]


@register.filter
def role_word(role: str) -> str:
    """A role in the reader's language."""
    return str(ROLES[role])


tel = register.filter("tel", dialled)


@register.filter
def under(row: Sequence[Any], columns: Sequence[str]) -> Iterable[tuple[Any, str]]:
    """Each cell of a row with the name of its column; without one where it has none."""
    return zip(row, chain(columns, repeat("")))  # noqa: B905 - the names go on for ever


@register.filter
def stacks(table: Any) -> bool:
    """Whether a table is too wide for a phone, so that its rows stand there as lists."""
    columns, rows = (table[part] if isinstance(table, Mapping) else getattr(table, part) for part in PARTS)
    widths = [
        max((len(_text(cell)) for cell in column), default=0) + BETWEEN
        for column in zip_longest(columns, *rows, fillvalue="")
    ]
    return sum(widths) > NARROW


def _text(cell: Any) -> str:
    return str(cell.get("text", "") if isinstance(cell, Mapping) else getattr(cell, "text", cell))


@register.simple_tag
def day(value: date) -> SafeString:
    """A calendar day as ``<time>``: Mon 23 Mar 2026."""
    if isinstance(value, datetime):
        value = timezone.localtime(value).date()
    words = date_format(value, pgettext("date format", "D j M Y"), use_l10n=False)
    return format_html('<time datetime="{}">{}</time>', value.isoformat(), words)


@register.simple_tag
def moment(value: datetime) -> SafeString:
    """A day and a time of day as ``<time>``, in the zone of the site."""
    local = timezone.localtime(value)
    words = date_format(local, pgettext("date format", "D j M Y, H:i"), use_l10n=False)
    return format_html('<time datetime="{}">{}</time>', local.isoformat(timespec="seconds"), words)
