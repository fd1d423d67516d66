"""What a page says, held against the Spanish that we have: our own file, the catalogue, the framework, the job's own data.

A text is Spanish when it is one of those texts, one of them with things put in that are Spanish themselves, or several
of them one after the other. What is left over is in no Spanish of ours, and so most likely English.
"""

import re
import tomllib
from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import Any

from django.utils import translation
from django.utils.dates import MONTHS, MONTHS_3, WEEKDAYS, WEEKDAYS_ABBR

from coordination.console.translations import messages_file
from coordination.siteprep.toml_tables import CATALOGUE_FOLDER
from tests.spanish.texts import entries
from tests.web.marks import AS_THEY_ARE, Reading

PUT_IN = re.compile(r"%\(\w+\)[#0 +-]*[\d.]*[a-z]|%[sdr]|%%|\{[^{}]*\}")
# What is called the same in both languages, and units that are written behind a number.
NAMED = {"y", "Sill & Plumb", "Español", "English", "PDF"}
LETTERS = re.compile(r"[^\W\d_]")
SIGNS = " .,;:()[]·–→“”"
BREAKS = re.compile(r"[,;:.()\[\]·–→“”]+\s*|(?<=\w) (?=\()|(?<=[\w”]) y ")
STANDARDS = re.compile(
    r"\b(?:ASME|CSA|NEC|NFPA|IBC|IRC|ACI|ADA|OSHA|CFR|ASTM|UL|NEMA|MG|EN|ISO|GFCI|Standards)\b|\b[A-Z]{1,3}\d[\w./-]*|\b\d+[A-Z]\b"
)


def left_in_english(html: str, data: Iterable[str]) -> list[str]:
    """Every text of a page that is not Spanish, once."""
    known, page = tuple(sorted(data, key=len, reverse=True)), Page(html)
    wrong = {text for text in page.plain if not is_spanish(text, known)}
    return sorted(
        wrong | {text for text in page.drawn if not is_spanish(text, known) and not is_part(text, known)}
    )


class Page(Reading):
    """The texts of a page, and those of its drawings, in which long words are set in several lines."""

    def __init__(self, html: str) -> None:
        self.plain: list[str] = []
        self.drawn: list[str] = []
        super().__init__(html)
        self.plain += [tidy(text) for text in self.texts]

    def handle_data(self, data: str) -> None:
        if self.drawings and data.strip() and not self.unread:
            self.drawn.append(tidy(data))
        else:
            super().handle_data(data)


def tidy(text: str) -> str:
    return " ".join(text.split())


def is_part(text: str, data: tuple[str, ...]) -> bool:
    """Whether a line of a drawing is part of a Spanish text: words that stand in it one after the other."""
    words = f" {without(text, data).lower()} "
    return any(words in f" {whole.lower()} " for whole in spanish_texts())


@lru_cache(maxsize=50_000)
def is_spanish(text: str, data: tuple[str, ...] = (), depth: int = 0) -> bool:
    """Whether ``text`` can be cut at its signs into pieces that are Spanish."""
    if is_known(text, data, depth):
        return True
    cuts = [0, *(found.end() for found in BREAKS.finditer(text)), len(text)]
    reached = {0}
    for number, begin in enumerate(cuts):
        if begin in reached:
            reached |= {
                end
                for end in cuts[number + 1 :]
                if end not in reached
                and any(is_known(text[begin:end].strip(signs), data, depth) for signs in (" ", SIGNS))
            }
    return len(cuts) > 2 and len(text) in reached


@lru_cache(maxsize=50_000)
def is_known(text: str, data: tuple[str, ...], depth: int) -> bool:
    """Whether ``text`` is a whole text, data, or a text with things put in that are Spanish themselves."""
    if not LETTERS.search(text) or text in whole_texts():
        return True
    bare = without(text, data)
    if not LETTERS.search(bare) or bare in whole_texts():
        return True
    if depth > 4:
        return False
    small = text.lower()
    for pattern, anchor in patterns():
        if anchor in small and (found := pattern.fullmatch(text)):
            parts = [part.strip() for part in found.groups() if part.strip()]
            if parts != [text] and all(is_spanish(part, data, depth + 1) for part in parts):
                return True
    return False


def without(text: str, data: tuple[str, ...]) -> str:
    """``text`` without the job's own data, without what is the same everywhere, without days and hours."""
    for known in data:
        text = text.replace(known, " ")
    text = AS_THEY_ARE.sub(" ", days().sub(" ", STANDARDS.sub(" ", text)))
    return tidy(re.sub(r"\d+", " ", text)).strip(SIGNS)


@lru_cache(maxsize=1)
def spanish_texts() -> frozenset[str]:
    """Every text of the file and of the catalogue, in Spanish."""
    found = {form for entry in entries(messages_file()) for form in entry.forms.values()} | NAMED
    for path in CATALOGUE_FOLDER.glob("*.toml"):
        found |= set(_in_spanish(tomllib.loads(path.read_text(encoding="utf-8"))))
    return frozenset(" ".join(text.split()) for text in found if text.strip())


@lru_cache(maxsize=1)
def whole_texts() -> frozenset[str]:
    """Those with nothing put in; at the begin of a line a small letter may have become a large one."""
    plain = {text for text in spanish_texts() if not PUT_IN.search(text.replace("%%", ""))}
    plain |= {text.strip(" .,;:") for text in plain}
    return frozenset(
        plain | {text[:1].upper() + text[1:] for text in plain} | {"y", "Sill & Plumb", "Español", "English"}
    )


@lru_cache(maxsize=1)
def patterns() -> tuple[tuple[re.Pattern[str], str], ...]:
    """Those with something put in, and the longest words of each that must be there; the most telling first."""
    found = []
    for text in spanish_texts():
        parts = PUT_IN.split(text)
        words = max(parts, key=len)
        if len(parts) > 1 and LETTERS.search(words):
            found.append(
                (
                    re.compile("(.*?)".join(re.escape(part) for part in parts), re.IGNORECASE),
                    words.strip().lower(),
                )
            )
    return tuple(sorted(found, key=lambda each: -len(each[1])))


@lru_cache(maxsize=1)
def days() -> re.Pattern[str]:
    """The names that the framework has for days and months."""
    with translation.override("es"):
        names = [*WEEKDAYS.values(), *WEEKDAYS_ABBR.values(), *MONTHS.values(), *MONTHS_3.values()]
        words = "|".join(sorted({re.escape(str(name)) for name in names}, key=len, reverse=True))
    return re.compile(rf"\b(?:{words})\b\.?|\b\d+ de\b|\b(?:a|p)\.m\.", re.IGNORECASE)


def _in_spanish(node: Any) -> Iterator[str]:
    if isinstance(node, list):
        for each in node:
            yield from _in_spanish(each)
    elif isinstance(node, dict):
        for key, each in node.items():
            if key == "es":
                yield from (
                    [each] if isinstance(each, str) else each.values() if isinstance(each, dict) else each
                )
            else:
                yield from _in_spanish(each)
