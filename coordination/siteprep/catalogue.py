"""The catalogue: every rule from which a plan is derived, loaded from TOML and checked as a whole.

Company and local rules come as further files of the same schema. An entry of a further file that says
``replace = true`` takes the place of the entry of the same name; else a double name is refused, and so are two
further files that replace the same entry. An ``[[addition]]`` asks more of a task that is there already.
"""

import hashlib
import json
import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from coordination.siteprep.condition_reading import KEYWORDS
from coordination.siteprep.conditions import Condition
from coordination.siteprep.entries import (
    FindingEntry,
    GateEntry,
    LinkEntry,
    QuantityEntry,
    TaskEntry,
    TradeEntry,
)
from coordination.siteprep.entry_fields import Vocabulary, pattern, read_condition
from coordination.siteprep.entry_reading import (
    read_addition,
    read_finding,
    read_gate,
    read_quantity,
    read_task,
    read_trade,
)
from coordination.siteprep.plan_parts import Package
from coordination.siteprep.refusing import RefusalReason, read_reason
from coordination.siteprep.sources import Source, Status, read_sources
from coordination.siteprep.toml_tables import (
    CATALOGUE_FOLDER,
    CatalogueError,
    RuleFile,
    Table,
    Text,
    read_rules,
    read_toml,
)

_ELSEWHERE = (
    "facts.toml",
    "words.toml",
    "faults.toml",
    "places.toml",
    "classes.toml",
    "sets.toml",
    "series.toml",
)
# Read on their own: nothing in them makes work, so a change there moves no plan. See handover_items.
_APART = ("handover.toml",)
_LISTS = {
    "condition": "key",
    "package": "key",
    "trade": "key",
    "caution": "key",
    "quantity": "key",
    "finding": "key",
    "gate": "key",
    "task": "entry",
    "reason": "key",
}
# What no plan reads: better words in it make no other catalogue.
_WORDS_ONLY = ("reasons.toml",)


@dataclass(frozen=True)
class Catalogue:
    """All rules, by key, in the order of the files. ``sha256`` tells one set of rules from another."""

    sources: Mapping[str, Source]
    packages: Mapping[str, Package]
    trades: Mapping[str, TradeEntry]
    cautions: Mapping[str, Text]
    quantities: Mapping[str, QuantityEntry]
    findings: Mapping[str, FindingEntry]
    tasks: Mapping[str, TaskEntry]
    gates: Mapping[str, GateEntry]
    sha256: str
    reasons: Mapping[str, RefusalReason] = field(default_factory=dict)

    def statuses(self) -> Counter[Status]:
        """Count the statuses of tasks, requirements, gates, findings and quantities by their first source."""
        return Counter(source.status for _, source in self.entries())

    def to_confirm(self) -> tuple[tuple[str, Source], ...]:
        """Return what rests on memory or practice and names somebody to confirm it with: (entry, source)."""
        return tuple((name, source) for name, source in self.entries() if source.confirm_with)

    def entries(self) -> Iterable[tuple[str, Source]]:
        """Yield the name and first source of every entry."""
        for task in self.tasks.values():
            yield task.entry, task.sources[0]
            yield from ((f"{task.entry}#{each.key}", each.source) for each in task.requirements)
        yield from ((f"gate {gate.key}", gate.sources[0]) for gate in self.gates.values())
        yield from ((f"finding {each.key}", each.source) for each in self.findings.values())
        yield from ((f"quantity {each.key}", each.source) for each in self.quantities.values())


def load_catalogue(*extra: Path | RuleFile) -> Catalogue:
    """Return the catalogue, with the rules of ``extra`` added in that order.

    Raises CatalogueError, which names file, entry and key.
    """
    if all(isinstance(each, RuleFile) for each in extra):
        return _with_rules(*extra)
    return _assembled(
        [(each.name, read_toml(each) if isinstance(each, Path) else read_rules(each)) for each in extra]
    )


@lru_cache(maxsize=32)
def _with_rules(*extra: RuleFile) -> Catalogue:
    return _assembled([(each.name, read_rules(each)) for each in extra])


@lru_cache(maxsize=1)
def _own_contents() -> tuple[tuple[str, dict[str, Any]], ...]:
    others = (*_ELSEWHERE, *_APART)
    paths = [path for path in sorted(CATALOGUE_FOLDER.glob("*.toml")) if path.name not in others]
    return tuple((path.name, read_toml(path)) for path in paths)


def _assembled(extra: Iterable[tuple[str, dict[str, Any]]]) -> Catalogue:
    contents = [*_own_contents(), *extra]
    sources = _sources(contents)
    listed = {kind: _listed(kind, contents) for kind in _LISTS}
    packages = {
        key: _package(table, order) for order, (key, table) in enumerate(listed["package"].items(), start=1)
    }
    trades = {key: read_trade(table) for key, table in listed["trade"].items()}
    cautions = {key: _caution(table) for key, table in listed["caution"].items()}
    quantities = {key: read_quantity(table, sources) for key, table in listed["quantity"].items()}
    known = Vocabulary(sources, packages, trades, cautions, quantities, _conditions(listed["condition"]))
    found = Catalogue(
        sources,
        packages,
        trades,
        cautions,
        quantities,
        {key: read_finding(table, known) for key, table in listed["finding"].items()},
        _tasks(contents, listed["task"], known),
        {key: read_gate(table, known) for key, table in listed["gate"].items()},
        _digest(contents),
    )
    _check_links(found)
    _check_gates(found)
    subjects = _subjects(found)
    return replace(
        found, reasons={key: read_reason(table, subjects) for key, table in listed["reason"].items()}
    )


def _subjects(catalogue: Catalogue) -> frozenset[str]:
    """The work, and the single requirements of it, that a reason to refuse may be usual for."""
    named = {f"{task.entry}#{each.key}" for task in catalogue.tasks.values() for each in task.requirements}
    return frozenset(named | set(catalogue.tasks))


def _digest(contents: list[tuple[str, dict[str, Any]]]) -> str:
    """Digest the rules and the words and facts they lean on; comments and layout do not count."""
    elsewhere = [(name, read_toml(CATALOGUE_FOLDER / name)) for name in _ELSEWHERE]
    read = [each for each in contents if each[0] not in _WORDS_ONLY]
    text = json.dumps([*read, *elsewhere], sort_keys=True, ensure_ascii=False, default=str)
    return hashlib.sha256(text.encode()).hexdigest()


def _sources(contents: Iterable[tuple[str, Mapping[str, Any]]]) -> dict[str, Source]:
    found: dict[str, Source] = {}
    for file, content in contents:
        added = read_sources(file, content.get("source", {}))
        for double in sorted(added.keys() & found.keys()):
            raise CatalogueError(file, f"source {double}", "source", "is defined twice")
        found.update(added)
    return found


def _listed(kind: str, contents: Iterable[tuple[str, Mapping[str, Any]]]) -> dict[str, Table]:
    """Return the tables of one kind from all files by name; a double name must say that it replaces."""
    found: dict[str, Table] = {}
    replaced: dict[str, str] = {}
    for file, content in contents:
        whole = Table(file, file, content)
        for each in whole.tables(kind):
            name = each.word(_LISTS[kind])
            replaces = each.take("replace", bool, False)
            if (name in found) != replaces:
                reason = "there is nothing of this name to replace" if replaces else "is defined twice"
                raise CatalogueError(file, f"{kind} {name}", _LISTS[kind], reason)
            if replaces and replaced.setdefault(name, file) != file:
                raise CatalogueError(
                    file, f"{kind} {name}", "replace", f"is replaced by {replaced[name]} already"
                )
            found[name] = Table(file, f"{kind} {name}", {**each.rest(), _LISTS[kind]: name})
        for odd in sorted(set(content) - {*_LISTS, "source", "addition"}):
            raise CatalogueError(file, "file", odd, "is not a kind of entry")
    return found


def _tasks(
    contents: Iterable[tuple[str, Mapping[str, Any]]], listed: Mapping[str, Table], known: Vocabulary
) -> dict[str, TaskEntry]:
    """Return the tasks of all files with what the additions ask of them besides, in the order of the files."""
    found = {key: read_task(table, known) for key, table in listed.items()}
    for file, content in contents:
        for number, each in enumerate(content.get("addition", ()), start=1):
            if not isinstance(each, dict):
                raise CatalogueError(file, f"addition {number}", "addition", "should be a table")
            task = read_addition(Table(file, f"addition {each.get('task', number)}", each), known, found)
            found[task.entry] = task
    return found


def named_conditions() -> Mapping[str, Condition]:
    """Return the conditions with a name, as every file of the catalogue may use them."""
    return _conditions(_listed("condition", _own_contents()))


def _conditions(listed: Mapping[str, Table]) -> dict[str, Condition]:
    """Return the named conditions; each may use the ones before it."""
    found: dict[str, Condition] = {}
    for key, table in listed.items():
        table.word("key")
        if not re.fullmatch(r"[a-z][a-z_]*", key) or key in KEYWORDS or pattern(key) is not None:
            raise table.error("key", "should be a word of its own in small letters, neither fact nor keyword")
        found[key] = read_condition(table, "when", "", dict(found))
        table.done()
    return found


def _package(table: Table, order: int) -> Package:
    found = Package(table.word("key"), table.text("text"), order)
    table.done()
    return found


def _caution(table: Table) -> Text:
    table.word("key")
    text = table.text("text")
    table.done()
    return text


def _check_links(catalogue: Catalogue) -> None:
    for task in catalogue.tasks.values():
        for link in task.links:
            if link.task not in catalogue.tasks:
                raise CatalogueError(
                    task.file, f"task {task.entry}", "after", f"there is no task {link.task!r}"
                )
            if link.task == task.entry:
                raise CatalogueError(
                    task.file, f"task {task.entry}", "after", "a task cannot wait for itself"
                )
            _check_seen(task, link, catalogue.tasks[link.task])


def _check_seen(task: TaskEntry, link: LinkEntry, giving: TaskEntry) -> None:
    """What the receiver is shown first must be asked of the work that it receives."""
    asked = {each.key for each in giving.requirements}
    for key in link.sees:
        if key not in asked:
            raise CatalogueError(
                task.file, f"task {task.entry}", "sees", f"{giving.entry!r} asks for no {key!r}"
            )


def _check_gates(catalogue: Catalogue) -> None:
    for gate in catalogue.gates.values():
        for opened in gate.opens:
            if opened not in catalogue.tasks:
                raise CatalogueError(gate.file, f"gate {gate.key}", "opens", f"there is no task {opened!r}")
        for condition in gate.conditions:
            if not _exists(condition.kind, condition.subject, catalogue):
                raise CatalogueError(
                    gate.file, f"gate {gate.key}", "waits", f"there is no {condition.subject!r}"
                )


def _exists(kind: str, subject: str, catalogue: Catalogue) -> bool:
    if kind == "gate cleared":
        return subject in catalogue.gates
    if kind == "question answered":
        return pattern(subject) is not None
    entry, _, requirement = subject.partition("#")
    task = catalogue.tasks.get(entry)
    if task is None or bool(requirement) != (kind != "task accepted"):
        return False
    return not requirement or requirement in {each.key for each in task.requirements}
