"""The facts that can be asked, read from ``catalogue/facts.toml``, in the order of a form."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import groupby
from typing import Any

from coordination.siteprep.fact_types import AUTHORITIES, WALLS, WEEKDAYS, FactDefinition, Group, Value
from coordination.siteprep.lengths import LengthError, parse_length
from coordination.siteprep.sources import own_sources
from coordination.siteprep.toml_tables import CATALOGUE_FOLDER, Table, Text, read_toml
from coordination.siteprep.units import STORED, UnitError, parse_quantity
from coordination.siteprep.wording import fill, words

KINDS = (
    "length", "lengths", "choice", "flag", "integer", "number", "force", "mass", "volume", "strength",
    "temperature", "speed", "text", "date", "days", "landings",
)  # fmt: skip
SCOPES = ("project", "landing", "wall", "authority")
DEFAULT_LANDINGS = ("1", "2")


def definitions(
    landings: Sequence[str] = DEFAULT_LANDINGS, code_set: str = "us"
) -> dict[str, FactDefinition]:
    """Return every fact that can be asked of a building with these landings, by key, in form order.

    Texts are worded for ``code_set``, one of "us" and "en".
    """
    return dict(_definitions(tuple(landings), code_set))


def groups(landings: Sequence[str] = DEFAULT_LANDINGS, code_set: str = "us") -> tuple[Group, ...]:
    """Return the parts of the form in order, each with the keys of its facts."""
    listed = _definitions(tuple(landings), code_set).values()
    return tuple(
        Group(key, fill(text, code_set), tuple(found.key for found in listed if found.group == key))
        for key, text in _patterns()[0].items()
    )


def fact_patterns() -> tuple[FactDefinition, ...]:
    """Return the definitions as written, with {landing}, {wall} and {authority} still in their keys."""
    return _patterns()[1]


@lru_cache(maxsize=64)
def _definitions(landings: tuple[str, ...], code_set: str) -> Mapping[str, FactDefinition]:
    found = [
        _worded(pattern, each, code_set, landings)
        for scope, run in groupby(_patterns()[1], key=lambda pattern: pattern.scope)
        for each, patterns in _repeated(scope, tuple(run), landings)
        for pattern in patterns
    ]
    return {definition.key: definition for definition in found}


def _repeated(
    scope: str, run: tuple[FactDefinition, ...], landings: tuple[str, ...]
) -> Iterator[tuple[str, tuple[FactDefinition, ...]]]:
    """Repeat a run of patterns for each member of its scope, so that one landing's facts stay together."""
    for each in _members(scope, landings):
        yield each, run


def _members(scope: str, landings: tuple[str, ...]) -> tuple[str, ...]:
    return {"landing": landings, "wall": WALLS, "authority": AUTHORITIES}.get(scope, ("",))


def _worded(pattern: FactDefinition, each: str, code_set: str, landings: tuple[str, ...]) -> FactDefinition:
    scope = pattern.scope

    def lookup(name: str, language: str) -> str | None:
        named: dict[str, str] = {"landing": each} if scope == "landing" else {}
        if scope in ("wall", "authority"):
            named[f"{scope}_name"] = words(code_set, language)[each]
        return named.get(name)

    def put(text: Text) -> Text:
        return fill(text, code_set, lookup)

    choices = landings if pattern.choices_from == "landings" else pattern.choices
    return replace(
        pattern,
        key=pattern.key.replace("{" + scope + "}", each),
        text=put(pattern.text),
        question=put(pattern.question),
        help=put(pattern.help),
        safe_default=put(pattern.safe_default),
        readings=tuple(put(reading) for reading in pattern.readings),
        choices=choices,
        choice_texts={
            choice: put(pattern.choice_texts.get(choice, {"en": str(choice)})) for choice in choices
        },
    )


@lru_cache(maxsize=1)
def _patterns() -> tuple[dict[str, Text], tuple[FactDefinition, ...]]:
    file = Table("facts.toml", "facts.toml", read_toml(CATALOGUE_FOLDER / "facts.toml"))
    titles = {}
    for table in file.tables("group"):
        titles[table.word("key")] = table.text("text")
        table.done()
    found = tuple(_pattern(table, titles) for table in file.tables("fact"))
    file.done()
    return titles, found


def _pattern(table: Table, titles: Mapping[str, Text]) -> FactDefinition:
    kind = table.word("kind", among=KINDS)
    choices = {
        each.take("is", (str, int)): {
            "en": each.word("en"),
            **({"es": each.word("es")} if each.has("es") else {}),
        }
        for each in table.tables("choices")
    }
    read = _bound(table, kind)
    default: Any = table.take("default", (str, int, list), None)
    found = FactDefinition(
        key=table.word("key"),
        kind=kind,
        group=table.word("group", among=titles),
        text=table.text("text"),
        question=table.text("question"),
        decides=table.word("decides"),
        help=table.text("help", optional=True),
        unit=table.word("unit", STORED.get(kind, "length" if kind in ("length", "lengths") else "")),
        choices=tuple(choices),
        choice_texts=choices,
        choices_from=table.word("choices_from", "", among=("", "landings")),
        low=read("low"),
        high=read("high"),
        default=_default(kind, default),
        safe_default=table.text("safe_default", optional=True),
        readings=table.texts("readings"),
        source=_source(table),
        scope=table.word("scope", "project", among=SCOPES),
        form=table.word("form", ""),
        form_example=table.word("form_example", ""),
        sheet=table.take("sheet", bool, False),
    )
    table.done()
    return found


def _source(table: Table) -> str:
    if not table.has("source"):
        return ""
    return str(own_sources()[table.word("source", among=own_sources())])


def _bound(table: Table, kind: str) -> Callable[[str], int | float | None]:
    def read(key: str) -> int | float | None:
        value: Any = table.take(key, (str, int, float), None)
        if value is None or not isinstance(value, str):
            return value
        try:
            return parse_length(value) if kind in ("length", "lengths") else parse_quantity(kind, value)
        except (LengthError, UnitError, KeyError) as error:
            raise table.error(key, str(error)) from error

    return read


def _default(kind: str, written: Any) -> Value | None:
    if isinstance(written, list):
        return tuple(WEEKDAYS.index(day) for day in written) if kind == "days" else tuple(written)
    if kind == "length" and isinstance(written, str):
        return parse_length(written)
    return written  # type: ignore[no-any-return]
