"""Every marked text has its Spanish: whole, with the same things put in, compiled, and found in every file."""

import gettext
import re
from collections import Counter

import pytest

from coordination.console.translations import calls_of, compiled_file, marked_texts, messages_file, sources
from tests.spanish.texts import Entry, entries

# Whatever somebody with a phone on the site can meet: pages, refusals, states, mails, sheets, what is said without signal.
ON_THE_SITE = (
    *(
        "templates/my/",
        "templates/tasks/",
        "templates/components/",
        "templates/signing_in/",
        "templates/phone/",
    ),
    *(
        "templates/feeds/",
        "templates/look_ahead/",
        "templates/trade_sheets/",
        "templates/mail/",
        "templates/reviews/",
    ),
    *(
        "templates/base.html",
        "templates/403",
        "templates/404",
        "templates/422",
        "templates/500",
        "templates/frame/",
    ),
    *("templates/paper/trade_sheets.html", "templates/paper/look_ahead.html", "coordination/notices/"),
    *("coordination/access/", "coordination/projects/", "coordination/evidence/", "coordination/gates/"),
    *("coordination/files/", "coordination/dates/", "coordination/web/views/", "coordination/web/forms/"),
    "coordination/web/",
)
PUT_IN = re.compile(r"%\(\w+\)[#0 +-]*[\d.]*[a-z]|%[sdr%]|\{\w*\}")
# Our own words for the thing, filled from the word lists: a language may turn them otherwise.
FROM_WORD_LISTS = {"{lift}", "{a_lift}", "{lifts}"}
# Signs, formats and words that are the same in both languages.
THE_SAME = re.compile(
    r"[^a-z]*|.{1,3}|(?:[DjbY]|, H:i| )+|.*%\(\w+\)s.*|\{lift\}"
    r"|inspector|general|error|[Pp]lan|provisional|laminar|hem-fir|spruce-pine-fir|Conductor|%d original|P10 .* P90 .*|SHA-256"
)


@pytest.fixture(scope="module")
def marked(tmp_path_factory: pytest.TempPathFactory) -> list[Entry]:
    return entries(marked_texts(tmp_path_factory.mktemp("marked")))


@pytest.fixture(scope="module")
def spanish() -> list[Entry]:
    return entries(messages_file())


def lacking(marked: list[Entry], spanish: list[Entry]) -> dict[str, list[str]]:
    """By file: the texts that stand in it without Spanish."""
    whole = {entry.key: bool(entry.plural) for entry in spanish if entry.is_whole}
    found: dict[str, list[str]] = {}
    for entry in marked:
        if whole.get(entry.key) != bool(entry.plural):
            for place in entry.places:
                found.setdefault(place, []).append(entry.text)
    return found


def test_all_that_is_met_on_the_site_is_in_spanish(marked: list[Entry], spanish: list[Entry]) -> None:
    places = {place for entry in marked for place in entry.places}
    files = {place for place in places if place.startswith(ON_THE_SITE)}
    assert len(files) > 120
    assert {file: texts for file, texts in lacking(marked, spanish).items() if file in files} == {}


def test_so_is_everything_else(marked: list[Entry], spanish: list[Entry]) -> None:
    assert len(marked) > 3000
    assert lacking(marked, spanish) == {}


def test_nothing_is_kept_that_nobody_says(marked: list[Entry], spanish: list[Entry]) -> None:
    assert {entry.key for entry in spanish} - {entry.key for entry in marked} == set()


def test_nothing_was_guessed_or_left_over(spanish: list[Entry]) -> None:
    assert [entry.text for entry in spanish if "fuzzy" in entry.flags] == []
    assert "\n#~" not in messages_file().read_text(encoding="utf-8")
    assert [key for key, number in Counter(entry.key for entry in spanish).items() if number > 1] == []


def put_in(text: str) -> Counter[str]:
    return Counter(part.lower() for part in PUT_IN.findall(text) if part.lower() not in FROM_WORD_LISTS)


def test_the_same_is_put_in(spanish: list[Entry]) -> None:
    """One form may leave out the number where it says "one" in words; the last must not."""
    wrong = []
    for entry in spanish:
        originals = [entry.text, *([entry.plural] if entry.plural else [])]
        for number, form in entry.forms.items():
            last = number == max(entry.forms)
            right = put_in(originals[-1] if last else originals[0])
            wrong += [form] if put_in(form) != right and (last or put_in(form) - right) else []
    assert wrong == []


def test_there_are_as_many_forms_as_the_header_says(spanish: list[Entry]) -> None:
    header = messages_file().read_text(encoding="utf-8").split("\n\n", 1)[0]
    number = int(re.search(r"nplurals=(\d+)", header)[1])  # type: ignore[index]
    wrong = [entry.text for entry in spanish if len(entry.forms) != (number if entry.plural else 1)]
    assert (number, wrong) == (2, [])


def test_no_text_was_left_in_english(spanish: list[Entry]) -> None:
    same = [entry.text for entry in spanish if entry.text in entry.forms.values()]
    assert [text for text in same if not THE_SAME.fullmatch(text)] == []


def test_spanish_brings_in_no_markup(spanish: list[Entry]) -> None:
    assert [e.text for e in spanish for form in e.forms.values() if "<" in form and "<" not in e.text] == []
    edges = [
        e.text
        for e in spanish
        for form in e.forms.values()
        if form and [e.text[:1].isspace(), e.text[-1:].isspace()] != [form[:1].isspace(), form[-1:].isspace()]
    ]
    assert edges == []


def test_what_is_compiled_is_what_is_written(spanish: list[Entry]) -> None:
    with compiled_file().open("rb") as file:
        compiled = gettext.GNUTranslations(file)._catalog  # type: ignore[attr-defined]
    written: dict[str | tuple[str, int], str] = {}
    for entry in spanish:
        key = f"{entry.context}\x04{entry.text}" if entry.context else entry.text
        written |= {((key, n) if entry.plural else key): form for n, form in entry.forms.items() if form}
    assert {key: text for key, text in compiled.items() if key != ""} == written


# ---- nothing that is marked escapes the programs that gather it
def test_a_text_is_gathered_wherever_it_is_marked() -> None:
    code = """
from django.utils.translation import gettext as _now, ngettext, pgettext_lazy
words = f"{_now('inside')}, {ngettext('%d day', '%d days', number)}"
TABLE = {"a": pgettext_lazy("state", "two "
    "parts")}
other("not marked")
"""
    assert sorted(calls_of(code).splitlines()) == [
        "gettext('inside')",
        "ngettext('%d day', '%d days', number)",
        "pgettext_lazy('state', 'two parts')",
    ]


def test_code_marks_texts_by_functions_that_it_imports() -> None:
    """``translation.gettext("...")`` would not be gathered."""
    otherwise = re.compile(r"\btranslation\.n?p?gettext")
    code = [path for path in sources() if path.suffix == ".py"]
    assert [str(path) for path in code if otherwise.search(path.read_text(encoding="utf-8"))] == []


def test_no_template_marks_a_text_with_an_escaped_quotation_mark() -> None:
    """The gatherer ends the text at it; blocktranslate takes such texts."""
    escaped = re.compile(r"{% translate (?:\"[^\"]*\\\"|'[^']*\\')")
    templates = [path for path in sources() if path.suffix != ".py"]
    assert [str(path) for path in templates if escaped.search(path.read_text(encoding="utf-8"))] == []
