"""The form of all site facts: kept as typed, entered only where it differs from what the page showed."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from django.http import QueryDict
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from coordination.projects.fact_values import FactInput
from coordination.siteprep.facts import STATES, Fact, Fault
from coordination.web.shapes.fact_rows import FactRow, as_typed


class FactEntries:
    """Rows of facts with what was sent. Iterates like a form, so that components/errors.html reads it.

    ``shown`` are the facts as the page showed them: what equals them was not changed by whoever sent it.
    """

    def __init__(self, rows: Iterable[FactRow], data: QueryDict, shown: Mapping[str, Fact]) -> None:
        self.rows = {row.key: row for row in rows}
        self.shown = {key: shown.get(key) or Fact(key, "unknown") for key in self.rows}
        self.non_field_errors: list[str] = []
        for row in self.rows.values():
            _take(row, data, self.shown[row.key])

    def __iter__(self) -> Iterator[FactRow]:
        return iter(self.rows.values())

    @property
    def errors(self) -> list[str]:
        return [*self.non_field_errors, *(error for row in self for error in row.errors)]

    def entries(self) -> dict[str, FactInput]:
        """What was changed, by fact."""
        found = {row.key: entry_of(row, self.shown[row.key]) for row in self if row.sent}
        return {key: entry for key, entry in found.items() if entry is not None}

    def refuse(self, faults: Iterable[Fault]) -> None:
        """Say at each fact what is wrong with it."""
        language = (get_language() or "en")[:2]
        for fault in faults:
            wrong, right = fault.says(language)
            words = _("%(wrong)s: %(right)s.") % {"wrong": wrong[:1].upper() + wrong[1:], "right": right}
            if fault.fact in self.rows:
                self.rows[fault.fact].errors.append(words)
            else:
                self.non_field_errors.append(f"{fault.fact}: {words}")

    def refuse_overtaken(self, keys: Iterable[str]) -> None:
        """Say at each fact that somebody else stated it after the page was opened."""
        for row in (self.rows[key] for key in keys):
            told = {"who": row.standing.said_by, "value": row.stands or _("unknown")}
            row.errors.append(
                _("In the meantime %(who)s entered %(value)s. Send again to enter yours instead.") % told
            )


def entry_of(row: FactRow, shown: Fact) -> FactInput | None:
    """What is stated by the row; None where it says what the page showed.

    A value typed into an unknown fact makes it known; a fact turned to unknown lets its value go. Who said a
    value and its source stay only with the same value.
    """
    before = as_typed(row.definition, shown)
    state, typed = row.state, row.typed
    if state == "unknown" == shown.state and typed:
        state = "known"
    if state == "unknown" != shown.state and typed == before:
        typed = ""
    same = (state, typed) == (shown.state, before)
    source = row.source or (shown.source if same else "")
    said_by = row.said_by or (shown.said_by if same else "")
    if same and (source, said_by) == (shown.source, shown.said_by):
        return None
    return FactInput(state, (shown.typed if same else typed) or None, source, said_by)


def _take(row: FactRow, data: QueryDict, shown: Fact) -> None:
    """Put what was sent into the row. What the page did not have, or showed like this, keeps what stands now."""
    if f"{row.key}:state" not in data:
        return
    state = data[f"{row.key}:state"]
    sent = replace(
        row,
        state=state if state in STATES else "unknown",
        typed=", ".join(part.strip() for part in data.getlist(row.key) if part.strip()),
        source=data.get(f"{row.key}:source", "").strip(),
        said_by=data.get(f"{row.key}:said_by", "").strip(),
    )
    entry = entry_of(sent, shown)
    if entry is not None:
        row.state, row.typed, row.source, row.said_by = entry.state, sent.typed, sent.source, sent.said_by
        row.sent = True
