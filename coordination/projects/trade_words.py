"""Our own translated sentences in the words of a project's code set: ``{Hoistway}``, ``{lift}``, ``{landing_door}``.

As with the language, a page, paper or mail is about one project and speaks the words of its code set throughout:
``speak`` says which, and words that stand in tables (roles, trades, authorities) follow it when they are printed.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from django.utils.functional import lazy
from django.utils.translation import get_language

from coordination.siteprep.wording import fill


def in_words_of(code_set: str, sentence: str) -> str:
    """``sentence``, already translated, with the thing's own word for every field in braces.

    Raises KeyError for a field that is not in the word lists: a fault in our code.
    """
    language = (get_language() or "en")[:2]
    return fill({language: str(sentence)}, code_set)[language]


_spoken: ContextVar[str] = ContextVar("code set", default="us")


def speak(code_set: str) -> None:
    """From here on, words are those of ``code_set``."""
    _spoken.set(code_set)


@contextmanager
def speaking(code_set: str) -> Iterator[None]:
    """Within the block, words are those of ``code_set``."""
    token = _spoken.set(code_set)
    try:
        yield
    finally:
        _spoken.reset(token)


def in_spoken_words(sentence: str) -> str:
    """``sentence``, already translated, in the words of the code set that is spoken here."""
    return in_words_of(_spoken.get(), sentence)


# For tables that are written once: the words are chosen when they are printed.
spoken = lazy(in_spoken_words, str)
