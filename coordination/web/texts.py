"""Texts that the floors keep in several languages, in the reader's."""

from collections.abc import Mapping
from datetime import date

from django.utils.formats import date_format
from django.utils.translation import get_language, pgettext


def said(text: Mapping[str, str]) -> str:
    """A catalogue text in the reader's language, in English where it is not translated yet."""
    return text.get((get_language() or "en")[:2]) or text.get("en", "")


def language_read() -> str:
    """The language in which a paper is made for whoever asks for it."""
    return get_language() or "en-us"


def on_day(value: date) -> str:
    """A calendar day inside a sentence: Mon 23 Mar."""
    return date_format(value, pgettext("date format", "D j M"), use_l10n=False)
