"""Clauses that are words, not numbers, are read in the reader's language on every page and paper."""

import re

import pytest
from django.utils import translation

from coordination.gates.clauses import CLAUSES, clause_words
from coordination.siteprep.citing import abroad
from coordination.siteprep.sources import own_sources
from coordination.web.shapes.needs import source_words
from tests.web.test_pseudo_language import sources

IN_WORDS = re.compile(r"[a-z]{4}")


def test_every_clause_in_words_has_its_spanish() -> None:
    clauses = {source.clause for source in sources() if IN_WORDS.search(source.clause)}
    assert len(clauses) > 100
    assert clauses - CLAUSES == set()


def test_no_number_of_a_clause_is_lost() -> None:
    def numbers(text: str) -> list[str]:
        return sorted(re.findall(r"\d+(?:[./]\d+)*", text))

    with translation.override("es"):
        assert [each for each in CLAUSES if numbers(each) != numbers(clause_words(each))] == []


@pytest.mark.parametrize("key", ["practice-brackets", "a17-5-3-1-10"])
def test_a_source_is_told_in_spanish_at_home_and_abroad(key: str) -> None:
    source = own_sources()[key]
    told = []
    with translation.override("es"):
        for each in (source, abroad(source)):
            told.append(source_words(vars(each)))
    abroad_words = (
        "práctica de planeación tomada de códigos de EE. UU., ASME A17.1/CSA B44 5.3.1.10, ediciones vigentes"
    )
    right = {
        "practice-brackets": ["práctica común, sin fuente, separación de soportes de guía de 5 a 6 ft"] * 2,
        "a17-5-3-1-10": [
            "ASME A17.1/CSA B44, 5.3.1.10, ediciones vigentes (de memoria)",
            f"{abroad_words} (práctica común)",
        ],
    }
    assert told == right[key]
