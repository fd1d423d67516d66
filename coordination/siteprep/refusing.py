"""Reasons to refuse: those of the one requirement first, then of its work, then of everything of its kind.

They are wording only. No plan, no terms and no digest reads them, so a better word asks nobody to look again.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from coordination.siteprep.toml_tables import Table, Text
from coordination.siteprep.wording import fields, fill, is_word

RefusedKind = Literal["photo", "reading", "document", "signature", "handoff"]
REFUSED_KINDS: tuple[RefusedKind, ...] = RefusedKind.__args__  # type: ignore[attr-defined]
OF_WORK: tuple[RefusedKind, ...] = ("photo", "handoff")


@dataclass(frozen=True)
class RefusalReason:
    """One reason. ``of`` names the work (``entry``) or requirement (``entry#key``) it is usual for; empty: all."""

    key: str
    text: Text
    kinds: tuple[str, ...]
    of: tuple[str, ...] = ()


def read_reason(table: Table, subjects: Collection[str]) -> RefusalReason:
    """Return the reason in ``table``; ``subjects`` are the work and requirements there are. Raises CatalogueError."""
    of = table.words("of", among=subjects)
    kinds = table.words("kinds", among=REFUSED_KINDS) or (OF_WORK if of else ())
    if not kinds:
        raise table.error("kinds", "is missing; say for what kind it is a reason, or for which work")
    found = RefusalReason(table.word("key"), table.text("text"), kinds, of)
    for name in sorted(fields(found.text)):
        if not is_word(name):
            raise table.error("text", f"{{{name}}} is no word that is known here")
    table.done()
    return found


def reasons_to_refuse(
    reasons: Mapping[str, RefusalReason], code_set: str, kind: str, entry: str, requirement: str = ""
) -> tuple[tuple[str, Text], ...]:
    """(key, text) of what is usually wrong with a requirement of ``entry``, or with its handoff; the nearest first."""
    subject = f"{entry}#{requirement}"
    ordered = sorted(
        _fitting(reasons, kind, entry, subject), key=lambda each: _distance(each, entry, subject)
    )
    return tuple((each.key, fill(each.text, code_set)) for each in ordered)


def _fitting(
    reasons: Mapping[str, RefusalReason], kind: str, entry: str, subject: str
) -> Iterator[RefusalReason]:
    for each in reasons.values():
        if kind in each.kinds and (not each.of or entry in each.of or subject in each.of):
            yield each


def _distance(reason: RefusalReason, entry: str, subject: str) -> int:
    if subject in reason.of:
        return 0
    return 1 if entry in reason.of else 2
