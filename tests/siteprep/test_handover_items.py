"""What is expected at the end: the list reads, names only what the catalogue asks, and says why an item falls away."""

from dataclasses import dataclass, field
from pathlib import Path

import pytest

from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.handover_items import FILE, handover_list, read_handover_list
from coordination.siteprep.toml_tables import CatalogueError
from coordination.siteprep.wording import fields, fill

LIST = handover_list()


@dataclass
class Stated:
    """What is known of a job; everything else is not."""

    told: dict[str, object] = field(default_factory=dict)
    landings: tuple[str, ...] = ("1", "2")

    def value(self, key: str) -> object:
        return self.told.get(key)


def stated(**told: object) -> Stated:
    return Stated({key.replace("__", "."): value for key, value in told.items()})


def needed(key: str, facts: Stated) -> bool | None:
    return LIST.item(key).needed(facts).value


def test_an_unknown_fact_leaves_nothing_out_and_a_known_one_says_why() -> None:
    assert (needed("sump", stated()), needed("sump", stated(pit__sump=False))) == (None, False)
    assert LIST.item("sump").otherwise["en"] == "This pit has no sump."
    residence = stated(lift__class="private residence", job__code_set="us")
    assert needed("recall-sheet", residence) is False
    assert needed("recall-sheet", stated(lift__class="limited-use", job__code_set="us")) is True


def test_every_document_of_the_last_three_phases_is_expected_by_some_item() -> None:
    """A paper that the plan asks for at the end and that no item names would be forgotten in the folder."""
    named = {f"{entry}#{need}" for item in LIST.items for entry, need in item.shown_by}
    last = {"adjust", "recall-test", "joint-pretest", "electrical-final", "alarm-final", "inspection-request"}
    last |= {"acceptance", "temporary-use", "handover"}
    asked = {
        f"{task.entry}#{need.key}"
        for task in load_catalogue().tasks.values()
        if task.entry in last
        for need in task.requirements
        if need.kind == "document"
    }
    assert asked - named == set()


def test_each_text_stands_in_both_languages_with_the_same_words_put_in() -> None:
    for item in LIST.items:
        for text in filter(None, (item.text, item.otherwise, item.said, item.day)):
            assert set(text) == {"en", "es"}, item.key
            put_in = [{name.lower() for name in fields({"": text[language]})} for language in ("en", "es")]
            assert put_in[0] == put_in[1], item.key
            assert "{" not in "".join(fill(text, "en").values())


def test_what_an_expectation_rests_on_is_said() -> None:
    counted = {
        status: sum(item.source.status == status for item in LIST.items)
        for status in ("code", "practice", "memory", "drawing")
    }
    assert sum(counted.values()) == len(LIST.items) == 43
    assert all(item.source.confirm_with for item in LIST.items if item.source.status == "memory")


@pytest.mark.parametrize(
    ("was", "becomes", "where"),
    [
        ('shown_by = ["elevator-permit#permit"]', 'shown_by = ["elevator-permit#licence"]', "shown_by"),
        ('shown_by = ["elevator-permit#permit"]', "", "shown_by"),
        ('owes = "lift"\nsource = "a17-8-10"', 'owes = "nobody"\nsource = "a17-8-10"', "owes"),
        ('when = "pit.sump"', "", "otherwise"),
        ('key = "keys"', 'key = "sump"', "key"),
        ('list = "contacts"', 'list = "friends"', "list"),
    ],
)
def test_a_wrong_entry_is_refused_by_name(tmp_path: Path, was: str, becomes: str, where: str) -> None:
    text = FILE.read_text(encoding="utf-8")
    assert was in text
    path = tmp_path / "handover.toml"
    path.write_text(text.replace(was, becomes, 1), encoding="utf-8")
    with pytest.raises(CatalogueError) as refused:
        read_handover_list(path)
    assert refused.value.key == where
