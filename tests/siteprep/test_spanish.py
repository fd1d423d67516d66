"""What a subcontractor reads stands in English and Spanish: tasks, what they must show, cautions, gates, trades."""

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import load_facts
from coordination.siteprep.faults import Fault
from coordination.siteprep.plan import derive
from coordination.siteprep.toml_tables import CATALOGUE_FOLDER
from coordination.siteprep.wording import fields

FACTS = Path(__file__).parents[2] / "fixtures" / "facts"
FILES = sorted(path.name for path in CATALOGUE_FOLDER.glob("*.toml"))


def texts(content: Any, where: str = "") -> Iterator[tuple[str, dict[str, str]]]:
    """Every table of languages in a file of the catalogue, with the place where it stands."""
    if isinstance(content, dict):
        if isinstance(content.get("en"), str):
            yield where, {key: words for key, words in content.items() if key in ("en", "es")}
            return
        for key, each in content.items():
            yield from texts(each, f"{where}.{key}")
    elif isinstance(content, list):
        for number, each in enumerate(content):
            yield from texts(each, f"{where}[{number}]")


def read(name: str) -> list[tuple[str, dict[str, str]]]:
    return list(texts(tomllib.loads((CATALOGUE_FOLDER / name).read_text())))


@pytest.mark.parametrize("name", FILES)
def test_every_text_stands_in_both_languages(name):
    assert [where for where, text in read(name) if not text.get("es", "").strip()] == []


def figures(words: str) -> set[str]:
    """The facts and quantities that a text shows; the thing's own words may be turned otherwise."""
    return {name.lower() for name in fields({"en": words}) if "." in name and name != "Landing.label"}


@pytest.mark.parametrize("name", FILES)
def test_both_languages_name_the_same_figures(name):
    both = [(where, text) for where, text in read(name) if "es" in text]
    assert [where for where, text in both if figures(text["en"]) != figures(text["es"])] == []


def test_both_languages_of_a_fault_put_in_the_same():
    both = read("faults.toml")
    assert len(both) > 90
    assert [where for where, text in both if fields({"en": text["en"]}) != fields({"en": text["es"]})] == []


def test_a_fault_is_told_in_spanish():
    fault = Fault("pit.depth", "not-a-length", {"typed": "hondo"})
    assert fault.says("es") == ('"hondo" no es una medida de largo', 'escriba 9\' 4 1/2", 14" o 2857 mm')


@pytest.mark.parametrize("name", [name for name in FILES if name.startswith("tasks-")])
def test_no_line_was_left_in_english(name):
    assert [text["en"] for _where, text in read(name) if text["es"] == text["en"]] == []


@pytest.mark.parametrize("job", sorted(path.stem for path in FACTS.glob("*.toml")))
def test_a_plan_reads_in_spanish_without_gaps(job):
    plan = derive(load_facts(FACTS / f"{job}.toml"), load_catalogue())
    told = [text for task in plan.tasks for text in (task.text, task.first_line)]
    told += [
        text for task in plan.tasks for each in task.requirements for text in (each.text, each.stand) if text
    ]
    told += [*plan.cautions.values(), *(link.receiver_note for link in plan.links if link.receiver_note)]
    assert [text["en"] for text in told if "es" not in text] == []
    assert [text["es"] for text in told if "{" in text["es"] or "}" in text["es"]] == []


def test_the_words_of_the_thing_are_told_apart():
    """A pit is a fosa, so the hoistway of the US set cannot be a foso."""
    words = tomllib.loads((CATALOGUE_FOLDER / "words.toml").read_text())
    assert (words["us"]["es"]["lift"], words["us"]["es"]["hoistway"]) == ("elevador", "cubo")
    assert (words["en"]["es"]["lift"], words["en"]["es"]["hoistway"]) == ("ascensor", "hueco")
