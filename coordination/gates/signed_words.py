"""The sentence that a signer is offered, as another reader reads it: what was signed stays frozen as it was."""

from collections.abc import Mapping
from functools import lru_cache

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from django.utils.translation import override

STATEMENT = _("What this gate asks for has been looked at and is as the record says.")
SIGNED_IN: Mapping[str, str | Promise] = {
    "en-us": _("(signed in English)"),
    "es": _("(signed in Spanish)"),
}


def statement_words(signed: str) -> str:
    """``signed`` as the reader knows it, and in which language it was signed where that is another one.

    Words that somebody put in the place of the sentence stay as they were typed.
    """
    own, language = str(STATEMENT), _languages_of().get(signed.strip())
    return signed if language is None or signed.strip() == own else f"{own} {SIGNED_IN[language]}"


@lru_cache(maxsize=1)
def _languages_of() -> dict[str, str]:
    """The language of each wording of the sentence; English where another has no words for it yet."""
    found: dict[str, str] = {}
    for code in SIGNED_IN:
        with override(code):
            found.setdefault(str(STATEMENT), code)
    return found
