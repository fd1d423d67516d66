"""Filling catalogue texts: the thing's own word by code set and language, and this job's figures.

A text writes ``{lift}``, ``{Hoistway}``, ``{pit.depth}``. Words come from ``words.toml``.
"""

import re
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Any

from coordination.siteprep.toml_tables import CATALOGUE_FOLDER, LANGUAGES, CatalogueError, Text, read_toml

CODE_SETS = ("us", "en")
_FIELD = re.compile(r"\{([A-Za-z_][\w.{}-]*?)\}(?!\w*\})")

Lookup = Callable[[str, str], str | None]


def fields(text: Text) -> frozenset[str]:
    """Return the names between braces in ``text``, in any of its languages."""
    return frozenset(name for words in text.values() for name in _FIELD.findall(words))


def words(code_set: str, language: str) -> Mapping[str, str]:
    """Return the words for the thing in ``code_set`` and ``language``, English where that has none."""
    return _all_words()[code_set, language if language in LANGUAGES else "en"]


def is_word(name: str) -> bool:
    """Say whether ``name``, capital or not, is in the word lists."""
    return _uncapitalised(name) in words("us", "en")


def fill(text: Text, code_set: str, lookup: Lookup | None = None) -> dict[str, str]:
    """Return ``text`` with its fields filled in every language it has.

    ``lookup(name, language)`` answers for names that are no words; None leaves a KeyError.
    """
    return {language: _filled(line, code_set, language, lookup) for language, line in text.items()}


def _filled(line: str, code_set: str, language: str, lookup: Lookup | None) -> str:
    known = words(code_set, language)

    def put(found: re.Match[str]) -> str:
        name = _uncapitalised(found[1])
        answer = lookup(name, language) if lookup else None
        word = known[name] if answer is None else answer
        return word[:1].upper() + word[1:] if found[1][:1].isupper() else word

    return _FIELD.sub(put, line)


def _uncapitalised(name: str) -> str:
    return name[:1].lower() + name[1:]


@lru_cache(maxsize=1)
def _all_words() -> dict[tuple[str, str], dict[str, str]]:
    content = read_toml(CATALOGUE_FOLDER / "words.toml")
    common = content["common"]
    found = {
        (code_set, language): {
            **common["en"],
            **content[code_set]["en"],
            **common.get(language, {}),
            **content[code_set].get(language, {}),
        }
        for code_set in CODE_SETS
        for language in LANGUAGES
    }
    for (code_set, language), listed in found.items():
        _check_complete(content, code_set, language, listed)
    return found


def _check_complete(
    content: Mapping[str, Any], code_set: str, language: str, listed: Mapping[str, str]
) -> None:
    expected = {**content["common"]["en"], **content[code_set]["en"]}
    for extra in sorted(set(listed) - set(expected)):
        raise CatalogueError("words.toml", f"{code_set}.{language}", extra, "is not in the English list")
