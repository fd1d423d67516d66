"""What a refusal is about, in the reader's words: trades, outcomes and kinds come as keys from the floors below."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from coordination.access.refusals import Reason
from coordination.gates.sentences import OUTCOMES, trade_words

KINDS: Mapping[str, str | Promise] = {
    "concession": _("concession"),
    "deviation permit": _("deviation permit"),
    "variance": _("authority’s variance"),
}
NO_LENGTH: Mapping[str, str | Promise] = {
    "not a length": _("neither feet and inches nor metric"),
    "no unit": _("no unit"),
    "comma in number": _("a comma may part thousands or be the point: leave it out, or write a point"),
    "inches over a foot": _("inches over a foot"),
    "division by nothing": _("division by nothing"),
    "finer than a nanometre": _("finer than a nanometre"),
}
WORDS: Mapping[str, Callable[[str], str]] = {
    "trade": trade_words,
    "outcome": lambda key: str(OUTCOMES.get(key, key)),
    "right": lambda key: str(KINDS.get(key, key)),
    "why": lambda key: str(NO_LENGTH.get(key, key)),
}


def in_the_readers_words(reason: Reason) -> Reason:
    """The reason with the keys among its arguments in words; what people typed stays as it is."""
    told: dict[str, Any] = {
        name: WORDS[name](value) if name in WORDS and isinstance(value, str) else value
        for name, value in reason.args.items()
    }
    return replace(reason, args=told)
