"""Reasons to refuse: every kind of requirement has its own, in both languages; the nearest come first."""

import pytest

from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import load_facts
from coordination.siteprep.plan import derive
from coordination.siteprep.refusing import REFUSED_KINDS, reasons_to_refuse
from coordination.siteprep.toml_tables import CATALOGUE_FOLDER, CatalogueError, RuleFile

CATALOGUE = load_catalogue()
REQUIREMENTS = [
    (task.entry, each.key, each.kind) for task in CATALOGUE.tasks.values() for each in task.requirements
]


def reasons(entry: str, key: str, kind: str, code_set: str = "us") -> tuple[tuple[str, dict[str, str]], ...]:
    return reasons_to_refuse(CATALOGUE.reasons, code_set, kind, entry, key)


@pytest.mark.parametrize("kind", REFUSED_KINDS)
def test_every_kind_has_reasons_of_its_own_whatever_the_work(kind):
    found = reasons_to_refuse(CATALOGUE.reasons, "us", kind, "work of somebody's own")
    assert len(found) >= 3
    assert [key for key, text in found if not (text["en"].strip() and text["es"].strip())] == []


def test_no_requirement_is_without_reasons_in_both_languages_and_none_is_other():
    assert [subject for subject in REQUIREMENTS if len(reasons(*subject)) < 3] == []
    words = [
        text[language] for each in CATALOGUE.reasons.values() for text in [each.text] for language in text
    ]
    assert len(words) == 2 * len(CATALOGUE.reasons)
    assert [line for line in words if line.lower().startswith(("other.", "otro", "other reason"))] == []
    assert "other" not in CATALOGUE.reasons
    assert [line for line in words if len(line) > 80] == []


@pytest.mark.parametrize("code_set", ["us", "en"])
def test_no_two_reasons_of_one_list_say_the_same_and_none_has_a_gap(code_set):
    for subject in REQUIREMENTS:
        for language in ("en", "es"):
            lines = [text[language] for _key, text in reasons(*subject, code_set=code_set)]
            assert len(set(lines)) == len(lines), subject
            assert [line for line in lines if "{" in line] == []


def test_the_faults_of_the_work_come_before_those_of_any_picture():
    keys = [key for key, _text in reasons("backing", "backing-left", "photo")]
    assert keys[:7] == [
        *("out-of-plumb", "stops-short", "wrong-thickness", "split", "not-fastened"),
        *("broken-at-floor", "joint-on-bracket"),
    ]
    assert {"not-sharp", "too-dark"} <= set(keys[7:])
    assert next(key for key, _text in reasons("pit-strength", "fluid-kept", "photo")) == "coat-open"
    assert "stops-short" not in [key for key, _text in reasons("backing", "backing-plumb", "reading")]


def test_every_handoff_of_the_catalogue_has_faults_of_its_own_work():
    giving = {link.task for task in CATALOGUE.tasks.values() for link in task.links if link.handoff}
    usual = {key for key, _text in reasons_to_refuse(CATALOGUE.reasons, "us", "handoff", "")}
    bare = [
        entry
        for entry in sorted(giving)
        if not {key for key, _text in reasons_to_refuse(CATALOGUE.reasons, "us", "handoff", entry)} - usual
    ]
    assert bare == []


def test_a_rule_of_the_place_may_bring_reasons_and_they_move_no_plan_of_others():
    rules = RuleFile(
        "town.toml", '[[reason]]\nkey = "town-tag"\nof = ["backing"]\ntext = {en = "No town tag."}\n'
    )
    with_rules = load_catalogue(rules)
    keys = [key for key, _text in reasons_to_refuse(with_rules.reasons, "us", "photo", "backing", "x")]
    assert "town-tag" in keys
    facts = load_facts(CATALOGUE_FOLDER.parents[2] / "fixtures" / "facts" / "millrace-house.toml")
    assert [task.requirements for task in derive(facts, with_rules).tasks] == [
        task.requirements for task in derive(facts, CATALOGUE).tasks
    ]


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ('of = ["no-such-work"]', "'no-such-work' is not one of"),
        ('kinds = ["mood"]', "'mood' is not one of"),
        ("", "say for what kind"),
        ('kinds = ["photo"]\nwhy = "x"', "is not a key that is known here"),
    ],
)
def test_a_reason_that_fits_nothing_is_refused(line, reason):
    text = '[[reason]]\nkey = "odd"\ntext = {en = "Odd."}\n' + line
    with pytest.raises(CatalogueError, match=reason):
        load_catalogue(RuleFile("odd.toml", text))


def test_a_word_that_nobody_knows_is_refused():
    text = '[[reason]]\nkey = "odd"\nkinds = ["photo"]\ntext = {en = "Not in the {gizmo}."}'
    with pytest.raises(CatalogueError, match="no word that is known"):
        load_catalogue(RuleFile("odd.toml", text))


def test_better_words_make_no_other_catalogue():
    """No digest reads them: rewording a reason lays no change of plan beside anybody's plan."""
    from coordination.siteprep import catalogue

    own = catalogue._own_contents()
    assert "reasons.toml" in [name for name, _content in own]
    assert catalogue._digest(list(own)) == catalogue._digest(
        [each for each in own if each[0] != "reasons.toml"]
    )
