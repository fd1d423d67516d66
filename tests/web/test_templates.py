"""Every template of the project: compiles, is translated, and keeps to the content security policy."""

import re
from pathlib import Path

import pytest
from django.template.loader import get_template

ROOT = Path(__file__).resolve().parents[2] / "templates"
PAGES = sorted(str(path.relative_to(ROOT)) for path in ROOT.rglob("*") if path.suffix in {".html", ".txt"})
SCREENS = [name for name in PAGES if not name.startswith(("paper/", "mail/", "pictures/"))]
COMPONENTS = [name for name in PAGES if name.startswith("components/")]
NAMES_OF_THINGS = {"Sill & Plumb", "English", "·"}


def source(name: str) -> str:
    return (ROOT / name).read_text()


@pytest.mark.parametrize("name", PAGES)
def test_it_compiles(name: str) -> None:
    get_template(name)


@pytest.mark.parametrize("name", SCREENS)
def test_it_has_no_inline_style_or_script(name: str) -> None:
    text = re.sub(r"\{#.*?#\}", "", source(name), flags=re.S)
    assert (
        re.findall(r"<style|\sstyle=|<script(?![^>]*\ssrc=)|\son[a-z]+=|javascript:|hx-on|hx-vals=.js", text)
        == []
    )


@pytest.mark.parametrize("name", SCREENS)
def test_nothing_comes_from_elsewhere(name: str) -> None:
    assert re.findall(r"(?:src|href|action)=[\"'](?:https?:)?//", source(name)) == []


@pytest.mark.parametrize("name", SCREENS)
def test_every_word_is_translated(name: str) -> None:
    assert untranslated(source(name)) == []


@pytest.mark.parametrize("name", COMPONENTS)
def test_a_component_says_its_arguments(name: str) -> None:
    assert source(name).startswith("{# ")


def untranslated(text: str) -> list[str]:
    """Words between tags, or in attributes that are read out, which no translation tag wraps."""
    text = re.sub(r"\{#.*?#\}|\{% comment %\}.*?\{% endcomment %\}|<!doctype html>", "", text, flags=re.S)
    text = re.sub(r"\{% blocktrans(?:late)?\b.*?\{% endblocktrans(?:late)? %\}", "", text, flags=re.S)
    text = re.sub(r"\{%.*?%\}|\{\{.*?\}\}", "", text, flags=re.S)
    read_out = re.findall(r"\b(?:alt|title|aria-label|placeholder)=\"([^\"]*)\"", text)
    between = re.sub(r"<[^>]*>", "\n", text).replace("&amp;", "&").split("\n")
    pieces = [piece.strip(" \t.,;:()·") for piece in [*between, *read_out]]
    return [piece for piece in pieces if re.search(r"[A-Za-z]{2}", piece) and piece not in NAMES_OF_THINGS]


def test_the_search_for_words_finds_them() -> None:
    assert untranslated('<p title="Bad">{% translate "good" %} and bad</p>') == ["and bad", "Bad"]
