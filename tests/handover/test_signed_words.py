"""A signed sentence in the reader's words, with the language in which it was signed; words of one's own as typed."""

from html import unescape

from django.conf import settings
from django.utils.translation import override

from coordination.gates.signed_words import SIGNED_IN, STATEMENT, statement_words
from coordination.handover.composing import compose_gate_report
from tests.gates.sites import build

OWN = "I walked it with the inspector on Tuesday."


def test_every_language_of_the_program_has_its_words() -> None:
    assert set(SIGNED_IN) == {code for code, _name in settings.LANGUAGES}


def test_whoever_reads_another_language_reads_their_own_sentence_and_where_it_was_signed() -> None:
    wordings = {}
    for code in SIGNED_IN:
        with override(code):
            wordings[code] = str(STATEMENT)
    assert wordings["es"] != wordings["en-us"]
    with override("es"):
        assert statement_words(wordings["en-us"]) == f"{wordings['es']} {SIGNED_IN['en-us']}"
        assert statement_words(wordings["es"]) == wordings["es"]
        assert statement_words(OWN) == OWN
    with override("en-us"):
        assert statement_words(wordings["es"]) == f"{wordings['en-us']} (signed in Spanish)"
        assert statement_words(wordings["en-us"]) == wordings["en-us"]


def test_a_spanish_report_prints_the_spanish_sentence_and_what_was_typed(db: None) -> None:
    site = build()
    site.ready()
    with override("en-us"):
        site.sign("close-in", "contractor", statement=str(STATEMENT))
    site.sign("close-in", "crew", statement=OWN)
    clearing = site.clear("close-in")
    html = unescape(compose_gate_report(clearing, language="es", paper="letter").html)
    with override("es"):
        assert f"{STATEMENT} {SIGNED_IN['en-us']}" in html
    assert OWN in html
    assert "What this gate asks for" not in html
