"""What is missing, in words: every kind has a sentence, and the whole of it names owner and phone."""

from datetime import timedelta
from pathlib import Path

import pytest
from django.utils import translation

from coordination.access.permissions import TABLE
from coordination.evidence.sentences import SENTENCES as OF_EVIDENCE
from coordination.files.images import REASONS as OF_IMAGES
from coordination.gates import sentences
from coordination.gates.queries import look_at
from coordination.gates.rules.rights import NEEDS
from coordination.readiness import MISSING_KINDS, STATES, Missing
from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import load_facts
from coordination.siteprep.plan import derive
from tests.gates.sites import BACKING, BOARD, Site
from tests.standing_cast import gather

FACTS = Path(__file__).parents[2] / "fixtures" / "facts"


def test_every_missing_kind_and_state_has_its_words():
    assert set(sentences.MISSING) == set(MISSING_KINDS)
    assert set(sentences.STATES) == set(STATES)
    assert set(sentences.GATE_STATES) == {"held", "ready to clear", "cleared"}
    assert {verb for needed in NEEDS.values() for verb in needed} <= set(TABLE)
    assert set(OF_IMAGES) <= set(OF_EVIDENCE)


def test_a_held_task_says_by_what_by_whom_and_which_number(site):
    site.start(BACKING.key, "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.read("backing@rail-wall#spread", "framer", '30"')
    site.offer(BACKING.key, "framer")
    site.review("backing@rail-wall#left", "contractor", "refused", "too dark")
    scene = look_at(site.project, site.at + timedelta(days=1))
    missing = scene.assessment.tasks[BOARD.key].start_missing
    assert sentences.held_by(missing, sentences.names_of(scene)) == (
        "held by: backing is not finished, Copper Creek Framing, 555-0142; "
        "Photo (backing) refused yesterday, Copper Creek Framing, 555-0142; "
        "spread (backing) handed in yesterday, not reviewed yet, Ida Marsh, Low Rise Lift Supply, 555-0200; "
        "gate not cleared: close-in, Ana Ruiz, Tern Hill Builders, 555-0201"
    )


def test_work_whose_name_others_share_is_named_with_its_place(db):
    site = Site(gather())
    site.accept(derive(load_facts(FACTS / "candle-works.toml"), load_catalogue()))
    names = sentences.names_of(look_at(site.project, site.at))
    assert names.task("hang-door@landing-2") == "Landing 2 (Drying loft): Hang and align the hoistway door"
    assert names.task("pour@pit") == "Pour the pit"
    with translation.override("es"):
        assert names.task("hang-door@landing-2").startswith("Piso 2 (Drying loft): ")


def test_nothing_missing_is_no_sentence(site):
    assert sentences.held_by((), sentences.names_of(look_at(site.project, site.at))) == ""


@pytest.mark.parametrize("kind", MISSING_KINDS)
def test_no_missing_thing_breaks_a_sentence_even_where_nothing_is_known_of_it(site, kind):
    names = sentences.names_of(look_at(site.project, site.at))
    words = sentences.missing_words(Missing(kind, "gone@pit", trade="framing"), names)
    assert words
    assert "%" not in words


def test_where_no_company_is_named_the_trade_is(site):
    missing = Missing("not begun", "pour@pit", trade="concrete", task="pour@pit")
    words = sentences.missing_words(missing, sentences.names_of(look_at(site.project, site.at)))
    assert words == "pour@pit has not begun, concrete, no company named yet"
