"""Words of the trade follow the code set of the project that a page, paper or mail is about."""

from threading import Thread

import pytest

from coordination.gates.cited import document_words
from coordination.gates.sentences import party_words, trade_words
from coordination.projects.trade_words import speak, speaking
from coordination.web.words import AUTHORITIES, DECIDERS, ROLES


def said() -> list[str]:
    return [
        party_words("lift crew"),
        party_words("coordinator"),
        party_words("elevator"),
        trade_words("lift"),
        str(ROLES["lift crew"]),
        str(AUTHORITIES["elevator"]),
        str(DECIDERS["lift crew"]),
        document_words("a lift maker's planning note"),
    ]


SAID = {
    "us": [
        "elevator crew",
        "elevator coordinator",
        "elevator authority",
        "elevator",
        "elevator crew",
        "the elevator authority",
        "the elevator crew",
        "an elevator maker's planning note",
    ],
    "en": [
        "lift crew",
        "lift coordinator",
        "lift authority",
        "lift",
        "lift crew",
        "the lift authority",
        "the lift crew",
        "a lift maker's planning note",
    ],
}


@pytest.mark.parametrize("code_set", ["us", "en"])
def test_tables_of_words_follow_the_code_set_that_is_spoken(code_set):
    with speaking(code_set):
        assert said() == SAID[code_set]
    assert said() == SAID["us"]


def test_what_one_thread_speaks_no_other_hears():
    heard: list[list[str]] = []
    with speaking("us"):
        speak("en")
        other = Thread(target=lambda: heard.append(said()))
        other.start()
        other.join()
        assert (said(), heard) == (SAID["en"], [SAID["us"]])
