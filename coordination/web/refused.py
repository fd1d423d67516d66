"""Refusals of the floors below in sentences of the reader's language."""

from collections.abc import Mapping

from django.utils.functional import Promise

from coordination.access import sentences as access_sentences
from coordination.access.refusals import Reason, Refusal

SENTENCES: Mapping[str, str | Promise] = {**access_sentences.SENTENCES}


def in_words(refusal: Refusal) -> list[str]:
    """Each reason of the refusal as one sentence, in the order given."""
    return [_sentence(reason) for reason in refusal.reasons]


def _sentence(reason: object) -> str:
    if isinstance(reason, Reason):
        return access_sentences.sentence(reason, SENTENCES)
    return str(reason)
