"""Reading TOML tables strictly: every complaint names the file, the entry and the key."""

import tomllib
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

Text = Mapping[str, str]

CATALOGUE_FOLDER = Path(__file__).parent / "catalogue"
LANGUAGES = ("en", "es")


@dataclass(frozen=True)
class RuleFile:
    """Rules of a place or a company as text, wherever they are kept; ``name`` is what complaints call them."""

    name: str
    text: str

    @property
    def stem(self) -> str:
        """The name without its ending."""
        return self.name.removesuffix(".toml")


class CatalogueError(ValueError):
    """A rule that cannot be used. ``file``, ``entry`` and ``key`` say where, ``reason`` what is wrong."""

    def __init__(self, file: str, entry: str, key: str, reason: str) -> None:
        super().__init__(f"{file}: {entry}: {key}: {reason}")
        self.file = file
        self.entry = entry
        self.key = key
        self.reason = reason


class Table:
    """One TOML table being read: each key is taken once, and what is left over is refused."""

    def __init__(self, file: str, entry: str, content: Mapping[str, Any]) -> None:
        self.file = file
        self.entry = entry
        self._left = dict(content)

    def error(self, key: str, reason: str) -> CatalogueError:
        """Return, not raise, the complaint about ``key``."""
        return CatalogueError(self.file, self.entry, key, reason)

    def has(self, key: str) -> bool:
        """Say whether ``key`` is still there to be taken."""
        return key in self._left

    def take(self, key: str, kind: type | tuple[type, ...], default: Any = ...) -> Any:
        """Take ``key`` out, checked to be of ``kind``; without a default it must be there."""
        if key not in self._left:
            if default is ...:
                raise self.error(key, "is missing")
            return default
        value = self._left.pop(key)
        kinds = kind if isinstance(kind, tuple) else (kind,)
        if not isinstance(value, kinds) or (isinstance(value, bool) and bool not in kinds):
            raise self.error(key, f"should be {' or '.join(k.__name__ for k in kinds)}")
        return value

    def word(self, key: str, default: str | None = None, *, among: Collection[str] = ()) -> str:
        """Take a string, one of ``among`` if that says anything."""
        value: str = self.take(key, str, ... if default is None else default)
        if among and value not in among:
            raise self.error(key, f"{value!r} is not one of {', '.join(among)}")
        return value

    def words(self, key: str, *, among: Collection[str] = ()) -> tuple[str, ...]:
        """Take a list of different strings; a single string counts as a list of one; absent is empty."""
        value = self.take(key, (str, list), [])
        listed = [value] if isinstance(value, str) else value
        for word in listed:
            if not isinstance(word, str):
                raise self.error(key, "should hold strings only")
            if among and word not in among:
                raise self.error(key, f"{word!r} is not one of {', '.join(among)}")
        if len(set(listed)) != len(listed):
            raise self.error(key, "names one thing twice")
        return tuple(listed)

    def text(self, key: str, *, optional: bool = False) -> Text:
        """Take a text: a table of languages with at least English. Optional and absent is an empty table."""
        value = self.take(key, dict, {} if optional else ...)
        if not value and optional:
            return {}
        return self._checked_text(key, value)

    def texts(self, key: str) -> tuple[Text, ...]:
        """Take a list of texts; absent is empty."""
        return tuple(self._checked_text(key, value) for value in self.take(key, list, []))

    def tables(self, key: str) -> Iterator["Table"]:
        """Take a list of tables, each to be read in its turn; absent is empty."""
        for number, content in enumerate(self.take(key, list, []), start=1):
            if not isinstance(content, dict):
                raise self.error(key, "should hold tables only")
            label = content.get("key") or content.get("task") or content.get("entry") or content.get("is")
            yield Table(self.file, f"{self.entry} {key} {label or number}".strip(), content)

    def rest(self) -> dict[str, Any]:
        """Return what has not been taken."""
        return dict(self._left)

    def done(self) -> None:
        """Refuse keys that nobody asked for."""
        for key in sorted(self._left):
            raise self.error(key, "is not a key that is known here")

    def _checked_text(self, key: str, value: Any) -> Text:
        if not isinstance(value, dict) or not value.get("en"):
            raise self.error(key, 'should be a text with at least English, {en = "..."}')
        for language, words in value.items():
            if language not in LANGUAGES:
                raise self.error(key, f"{language!r} is not one of the languages {', '.join(LANGUAGES)}")
            if not isinstance(words, str) or not words.strip():
                raise self.error(key, f"is empty in {language!r}")
        return dict(value)


def read_toml(path: Path) -> dict[str, Any]:
    """Return the content of a TOML file. Raises CatalogueError where it is no TOML or cannot be read."""
    try:
        return read_rules(RuleFile(path.name, path.read_text(encoding="utf-8")))
    except (UnicodeDecodeError, OSError) as error:
        raise CatalogueError(path.name, "file", "TOML", str(error)) from error


def read_rules(rules: RuleFile) -> dict[str, Any]:
    """Return the content of rules kept elsewhere. Raises CatalogueError where they are no TOML."""
    try:
        return tomllib.loads(rules.text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise CatalogueError(rules.name, "file", "TOML", str(error)) from error
