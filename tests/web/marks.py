"""A language of marks: translators and the catalogue answer in ⟦…⟧, and a page is read for what has none."""

import re
import sys
import tomllib
from dataclasses import fields, is_dataclass, replace
from html.parser import HTMLParser
from types import SimpleNamespace
from typing import Any

import pytest
from django.utils import translation

from coordination.siteprep import toml_tables

MARKED = re.compile(r"⟦[^⟦⟧]*⟧")
PUT_IN = re.compile(r"(%\(\w+\)[#0 +-]*[\d.]*[sdrf]|%[sdr%]|\{[^{}]*\}|<[^>]+>)")
SQUARE = re.compile(r"[A-L][1-9]")  # a square of a photo, the same in every language
READ_ATTRIBUTES = {
    *(
        "title",
        "alt",
        "aria-label",
        "aria-description",
        "aria-roledescription",
        "placeholder",
        "aria-valuetext",
    ),
    # what scripts and the foot of a paper show
    *(
        "data-foot",
        "data-page",
        "data-of",
        "data-head",
        "data-project",
        "data-gate",
        "data-title",
        "data-sheet",
    ),
    *("data-broken", "data-percent", "data-stored", "data-remove", "data-copy-done", "data-too-large"),
}


def marked(text: str) -> str:
    """``text`` in marks; what will be put into it stays outside them."""
    parts = PUT_IN.split(text)
    return "".join(
        f"⟦{part}⟧" if number % 2 == 0 and part.strip() else part for number, part in enumerate(parts)
    )


def in_both(node: Any) -> Any:
    """A table of the catalogue in which each language table has marked words for readers of Spanish."""
    if isinstance(node, list):
        return [in_both(each) for each in node]
    if not isinstance(node, dict):
        return node
    found = {key: in_both(each) for key, each in node.items()}
    english = node.get("en")
    if isinstance(english, str):
        found["es"] = marked(english)
    elif isinstance(english, dict) and all(isinstance(each, str) for each in english.values()):
        found["es"] = {key: marked(each) for key, each in english.items()}
    return found


def plan_in_both(thing: Any) -> Any:
    """The same for a plan that a test has written."""
    if is_dataclass(thing) and not isinstance(thing, type):
        return replace(
            thing, **{each.name: plan_in_both(getattr(thing, each.name)) for each in fields(thing)}
        )
    if isinstance(thing, tuple):
        return tuple(plan_in_both(each) for each in thing)
    return in_both(thing) if isinstance(thing, dict) else thing


def forget_what_was_read() -> None:
    """Empty every cache of ours, so that the catalogue is read anew."""
    for name, module in list(sys.modules.items()):
        if name.startswith("coordination"):
            for thing in list(vars(module).values()):
                if hasattr(thing, "cache_clear"):
                    thing.cache_clear()


def answer_in_marks(monkeypatch: pytest.MonkeyPatch) -> None:
    """From here on translators answer in marks, and the catalogue has them for readers of Spanish."""
    real = {
        name: getattr(translation._trans, name) for name in ("gettext", "ngettext", "pgettext", "npgettext")
    }

    def one(message: str) -> str:
        return marked(real["gettext"](message)) if message else ""

    def in_context(context: str, message: str) -> str:
        return message if context == "date format" else marked(real["pgettext"](context, message))

    def several(singular: str, plural: str, number: int) -> str:
        return marked(real["ngettext"](singular, plural, number))

    def several_in_context(context: str, singular: str, plural: str, number: int) -> str:
        return marked(real["npgettext"](context, singular, plural, number))

    answers = {"gettext": one, "ngettext": several, "pgettext": in_context, "npgettext": several_in_context}
    for name, answer in answers.items():
        monkeypatch.setattr(translation._trans, name, answer)
    reading = SimpleNamespace(
        loads=lambda text: in_both(tomllib.loads(text)), TOMLDecodeError=tomllib.TOMLDecodeError
    )
    monkeypatch.setattr(toml_tables, "tomllib", reading)
    forget_what_was_read()


class Reading(HTMLParser):
    """Everything on a page that is read out or shown."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.texts: list[str] = []
        self.unread = 0
        self.drawings = 0
        self.broken = False
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        self.unread += tag in {"script", "style"}
        self.drawings += tag == "svg"
        self.texts += [words for name, words in attrs if name in READ_ATTRIBUTES and words]
        if tag == "meta" and told.get("name") == "description":
            self.texts.append(told.get("content") or "")
        if (tag == "input" and told.get("type") in {"submit", "button"}) or tag == "optgroup":
            self.texts.append(told.get("value") or told.get("label") or "")

    def handle_endtag(self, tag: str) -> None:
        self.unread -= tag in {"script", "style"}
        self.drawings -= tag == "svg"
        self.broken = self.broken and self.drawings > 0

    def handle_data(self, data: str) -> None:
        if self.unread or not data.strip() or (self.drawings and SQUARE.fullmatch(data.strip())):
            return
        if self.broken:  # a drawing sets long words in several lines
            self.texts[-1] += f" {data}"
        else:
            self.texts.append(data)
        whole = self.texts[-1]
        self.broken = self.drawings > 0 and whole.count("⟦") > whole.count("⟧")


# The same in every language: addresses, hashes, codes, commands, units as they are typed, names of standards and of us.
UNITS = (
    *(
        "ft",
        "in",
        "mm",
        "cm",
        "m",
        "ft²",
        "in²",
        "m²",
        "m2",
        "m3",
        "lbf",
        "lb",
        "kN",
        "N",
        "kg",
        "lx",
        "fc",
        "psi",
    ),
    "Ω",
    *("ksi", "MPa", "kPa", "dB", "A", "V", "kV", "W", "kW", "hp", "h", "min", "s", "L", "gal", "gpm", "deg"),
    *(
        "degrees",
        "C",
        "F",
        "°C",
        "°F",
        "L/min",
        "L/h",
        "J/mol",
        "kJ/mol",
        "cSt",
        "mm2/s",
        "mPa.s",
        "cP",
        "Pa.s",
    ),
    *("kg/m3", "lb/ft3", "m/s", "ft/min"),
)
AS_THEY_ARE = re.compile(
    r"https?://\S+|/l/\S+|\S+@site\.example|\b[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}\b|\b[0-9a-f]{7,64}\b"
    r"|\b[A-Z2-7]{5}-[A-Z2-7]{5}\b|\b(?:UTC|EST|EDT)\b|\bSHA-256\b|Sill & Plumb|\bUS-VT\b|\b(?:US|EN)\b"
    r"|certutil -hashfile report\.pdf SHA256|shasum -a 256 report\.pdf|sha256sum report\.pdf|Windows|macOS|Linux"
    r"|image/jpeg|python manage\.py verify_record|\bLVL\b|\bA36\b|\bVG\d+\b|\bx\b|\b\d+x\d+\b|\b(?:AWG|EMT)\b"
    r"|\bEnglish\b|\bEspañol\b"  # languages are called by their own names
    r"|\b\d+ de\b"  # between day and month, from the framework's own date format
    r"|(?<![^\W\d_])(?:"
    + "|".join(re.escape(unit) for unit in sorted(UNITS, key=len, reverse=True))
    + r")(?!\w)"
)


def unmarked(text: str, data: tuple[str, ...]) -> str:
    """What is left of ``text`` without marks, data and what is the same everywhere; empty where no letter is left."""
    left = text
    while MARKED.search(left):
        left = MARKED.sub(" ", left)
    for known in data:
        left = re.sub(rf"(?<!\w){re.escape(known)}(?!\w)", " ", left)
    left = " ".join(AS_THEY_ARE.sub(" ", left).split())
    return left if re.search(r"[^\W\d_]", left) else ""


def found_in(texts: list[str], data: tuple[str, ...]) -> list[str]:
    return [f"{' '.join(text.split())}  ({left})" for text in texts if (left := unmarked(text, data))]
