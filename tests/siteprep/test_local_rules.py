"""Local additions and a company's own rules: more TOML of the same schema, checked when it is loaded."""

from pathlib import Path

import pytest

from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import load_facts
from coordination.siteprep.lengths import INCH
from coordination.siteprep.plan import compare, derive
from coordination.siteprep.toml_tables import CatalogueError, RuleFile

FIXTURES = Path(__file__).parents[2] / "fixtures"
TOWN, COMPANY = FIXTURES / "rules" / "harbor-town.toml", FIXTURES / "rules" / "lantern-lifts.toml"
FACTS = load_facts(FIXTURES / "facts" / "ropewalk.toml")
PLAIN = derive(FACTS, load_catalogue())


def requirement(plan, subject):
    return next(each for task in plan.tasks for each in task.requirements if each.subject == subject)


def test_a_towns_additions_change_what_they_name_and_nothing_else():
    local = derive(FACTS, load_catalogue(TOWN))
    change = compare(PLAIN, local)
    assert (change.added, change.dropped) == (("flood-level@pit",), ())
    assert {each.key: each.fields for each in change.altered} == {
        "room-light@machine-room": ("requirements",)
    }
    assert set(change.links_added) == {
        ("layout-drawing@site", "flood-level@pit", "FS"),
        ("flood-level@pit", "dig@pit", "FS"),
    }
    switch = requirement(local, "room-light@machine-room#switch-near-lock")
    assert (switch.high, str(switch.source), switch.concede) == (
        24 * INCH,
        "Harbor town code, additions to the building rules chapter 9",
        (),
    )
    assert requirement(local, "flood-level@pit#flood-letter").release == "plumbing"


def test_town_and_company_go_together_in_either_order():
    one, other = load_catalogue(TOWN, COMPANY), load_catalogue(COMPANY, TOWN)
    both, turned = derive(FACTS, one), derive(FACTS, other)
    assert compare(both, turned).is_nothing
    assert both.task("receive@site").text["en"] == "Receive the elevator into the locked container"
    backing = both.task("backing@rail-wall")
    assert backing.requirements[-1].key == "screw-pattern"
    assert backing.cautions == ("open-hoistway", "people-below", "shared-hoistway")
    assert len({load_catalogue().sha256, one.sha256, load_catalogue(TOWN).sha256}) == 3


def test_two_files_may_ask_more_of_the_same_task(tmp_path):
    more = tmp_path / "second.toml"
    more.write_text(ADDITION)
    found = load_catalogue(TOWN, more).tasks["room-light"].requirements
    assert [each.key for each in found][-2:] == ["switch-near-lock", "lamp-spare"]


ADDITION = """
[[addition]]
task = "room-light"
source = "practice"

[[addition.requires]]
key = "lamp-spare"
kind = "photo"
text = {en = "Spare lamp in its bracket"}
stand = {en = "In the doorway, bracket in view"}
concede = ["coordinator"]
"""


@pytest.mark.parametrize(
    ("old", "new", "entry", "key"),
    [
        ('"room-light"', '"room-lights"', "addition room-lights", "task"),
        ('task = "room-light"\n', "", "addition 1", "task"),
        ('source = "practice"', 'source = "hearsay"', "addition room-light", "source"),
        ('source = "practice"', "", "addition room-light", "source"),
        ('source = "practice"', 'source = "practice"\ndays = [1, 1, 1]', "addition room-light", "days"),
        (
            'source = "practice"',
            'source = "practice"\ncautions = ["care"]',
            "addition room-light",
            "cautions",
        ),
        ('source = "practice"', 'source = "practice"\nafter = ["room-wals"]', "task room-light", "after"),
        ('"lamp-spare"', '"room-lux"', "addition room-light", "requires"),
        ('concede = ["coordinator"]', "", "addition room-light requires lamp-spare", "concede"),
        ('{en = "Spare lamp', '{en = "Spare {lamp}', "addition room-light requires lamp-spare", "text"),
        (ADDITION[ADDITION.index("[[addition.requires]]") :], "", "addition room-light", "requires"),
    ],
)
def test_a_wrong_addition_is_refused_by_file_entry_and_key(tmp_path, old, new, entry, key):
    assert old in ADDITION
    path = tmp_path / "local.toml"
    path.write_text(ADDITION.replace(old, new))
    with pytest.raises(CatalogueError) as refused:
        load_catalogue(path)
    assert (refused.value.file, refused.value.entry, refused.value.key) == ("local.toml", entry, key)


NAMED = """
[[condition]]
key = "old_harbor"
when = "building.stage == 'existing' and not us"

[[finding]]
key = "harbor"
when = "old_harbor or pit.groundwater"
text = {en = "Harbor"}
source = "practice"
"""


@pytest.mark.parametrize(
    ("old", "new", "entry", "key"),
    [
        ("old_harbor or", "older_harbor or", "finding harbor", "when"),
        ('key = "old_harbor"', 'key = "Old"', "condition Old", "key"),
        ('key = "old_harbor"', 'key = "landings"', "condition landings", "key"),
        ('key = "old_harbor"', 'key = "any"', "condition any", "key"),
        ('key = "old_harbor"', 'key = "us"', "condition us", "key"),
        ("not us", "not old_harbor", "condition old_harbor", "when"),
    ],
)
def test_a_named_condition_is_used_by_its_name_and_refused_by_its_faults(tmp_path, old, new, entry, key):
    path = tmp_path / "local.toml"
    path.write_text(NAMED)
    assert "harbor" not in {each.key for each in derive(FACTS, load_catalogue(path)).findings}
    assert old in NAMED
    path.write_text(NAMED.replace(old, new))
    with pytest.raises(CatalogueError) as refused:
        load_catalogue(path)
    assert (refused.value.file, refused.value.entry, refused.value.key) == ("local.toml", entry, key)


@pytest.mark.parametrize("path", sorted((FIXTURES / "rules").glob("*.toml")), ids=lambda path: path.stem)
def test_every_example_of_rules_loads(path):
    assert load_catalogue(path).sha256 != load_catalogue().sha256


def test_two_files_that_replace_the_same_entry_are_refused(tmp_path):
    other = tmp_path / "other.toml"
    other.write_text(
        COMPANY.read_text().replace("[source.lantern]", "[source.second]").replace('"lantern"', '"second"')
    )
    with pytest.raises(CatalogueError) as refused:
        load_catalogue(COMPANY, other)
    assert (refused.value.file, refused.value.entry, refused.value.key) == (
        "other.toml",
        "task receive",
        "replace",
    )
    assert refused.value.reason == "is replaced by lantern-lifts.toml already"


def test_rules_kept_as_text_give_the_same_plan_as_the_file():
    kept = RuleFile(TOWN.name, TOWN.read_text())
    assert load_catalogue(kept).sha256 == load_catalogue(TOWN).sha256
