"""How a paper says whose word a handoff rests on."""

from zoneinfo import ZoneInfo

import pytest

from coordination.handover.contents import handoff_words, refusal_words
from coordination.handover.reading import Reader

READER = Reader("en-us", "us", ZoneInfo("America/New_York"))
TOLD = {
    "receiver": "Low Rise Lift Supply",
    "outcome": "accepted",
    "by": "Ana Ruiz",
    "at": "2026-03-03T14:00:00+00:00",
    "entered_for": "",
    "entry_source": "",
    "answer_by": "2026-03-03T12:05:00+00:00",
}


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({}, "Low Rise Lift Supply accepted it: Ana Ruiz, "),
        (
            {"way": "by beginning"},
            "Low Rise Lift Supply took it over on beginning to build on it: Ana Ruiz, ",
        ),
        (
            {"way": "for the silent", "reasons": ["Called twice."]},
            (
                "Accepted by Ana Ruiz, March 3, 2026 09:00 EST, for Low Rise Lift Supply, who had not answered by "
                "March 3, 2026 07:05 EST: Called twice."
            ),
        ),
    ],
)
def test_whose_word_it_was(more, words):
    assert handoff_words({**TOLD, **more}, READER).startswith(words)


def test_a_refusal_of_an_earlier_round_says_round_and_reasons():
    told = {**TOLD, "round": 1, "reasons": ["It stops short of the marks.", "Left side too."]}
    assert refusal_words(told, READER).startswith("Round 1: Low Rise Lift Supply refused it: Ana Ruiz, ")
    assert refusal_words(told, READER).endswith("It stops short of the marks. Left side too.")
