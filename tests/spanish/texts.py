"""The entries of a .po or .pot file, read apart from the programs that write it."""

import ast
from dataclasses import dataclass, field
from pathlib import Path


@dataclass
class Entry:
    """One marked text with its Spanish: one form, or one for each number."""

    places: list[str] = field(default_factory=list)
    flags: str = ""
    context: str = ""
    text: str = ""
    plural: str = ""
    forms: dict[int, str] = field(default_factory=dict)

    @property
    def key(self) -> tuple[str, str]:
        return self.context, self.text

    @property
    def is_whole(self) -> bool:
        return bool(self.forms) and all(form.strip() for form in self.forms.values())


def entries(path: Path) -> list[Entry]:
    """Every entry but the header, in the order of the file."""
    blocks = path.read_text(encoding="utf-8").split("\n\n")
    return [entry for entry in map(_entry, blocks) if entry.text]


def _entry(block: str) -> Entry:
    found, name = Entry(), ""
    told: dict[str, str] = {}
    for line in block.splitlines():
        if line.startswith("#:"):
            found.places += line[2:].split()
        elif line.startswith("#,"):
            found.flags += line[2:]
        elif line and not line.startswith("#"):
            name, words = line.split(" ", 1) if not line.startswith('"') else (name, line)
            told[name] = told.get(name, "") + ast.literal_eval(words)
    found.context, found.text = told.get("msgctxt", ""), told.get("msgid", "")
    found.plural = told.get("msgid_plural", "")
    if "msgstr" in told:
        found.forms[0] = told["msgstr"]
    found.forms |= {int(key[7:-1]): form for key, form in told.items() if key.startswith("msgstr[")}
    return found
