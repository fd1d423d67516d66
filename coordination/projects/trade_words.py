"""Our own translated sentences in the words of a project's code set: ``{Hoistway}``, ``{lift}``, ``{landing_door}``."""

from django.utils.translation import get_language

from coordination.siteprep.wording import fill


def in_words_of(code_set: str, sentence: str) -> str:
    """``sentence``, already translated, with the thing's own word for every field in braces.

    Raises KeyError for a field that is not in the word lists: a fault in our code.
    """
    language = (get_language() or "en")[:2]
    return fill({language: str(sentence)}, code_set)[language]
