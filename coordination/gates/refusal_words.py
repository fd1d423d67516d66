"""A reason to refuse in the reader's language, where it is one of the catalogue's; what people wrote stays as it is."""

from collections.abc import Iterable, Mapping
from functools import lru_cache

from coordination.evidence.mark_words import as_read
from coordination.gates.sentences import in_language
from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.wording import CODE_SETS, fill


def reason_words(reasons: Iterable[str]) -> list[str]:
    """Each reason as the reader knows it: kept is the sentence that its writer ticked, in the writer's language."""
    known = _by_sentence()
    return [in_language(known[reason]) if reason in known else as_read(reason) for reason in reasons]


@lru_cache(maxsize=1)
def _by_sentence() -> Mapping[str, Mapping[str, str]]:
    found: dict[str, Mapping[str, str]] = {}
    for code_set in CODE_SETS:
        for each in load_catalogue().reasons.values():
            text = fill(each.text, code_set)
            for sentence in text.values():
                found.setdefault(sentence, text)
    return found
