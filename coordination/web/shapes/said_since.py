"""What was said of the facts since the standing plan was accepted: the reason for a change of plan."""

from dataclasses import dataclass

from coordination.access.models import Project
from coordination.projects.changing import newest_revision
from coordination.projects.models import FactEntry
from coordination.projects.queries import statements
from coordination.projects.stating import facts_of
from coordination.web.shapes.fact_rows import fact_row, value_words


@dataclass(frozen=True)
class SaidSince:
    """A fact as it stood under the standing plan and as it stands now; empty means unknown."""

    name: str
    before: str
    after: str
    state: str
    note: str


def said_since(project: Project, units: str) -> list[SaidSince]:
    """Facts that were stated otherwise since then, in the order of the form."""
    revision = newest_revision(project)
    until = revision.facts_length if revision else 0
    entries = list(FactEntry.objects.filter(project=project).select_related("event").order_by("seq"))
    since = {entry.key for entry in entries if entry.event.seq > until}
    old = facts_of(project, {entry.key: entry for entry in entries if entry.event.seq <= until})
    found = []
    for statement in statements(project):
        key = statement.definition.key
        row = fact_row(statement, units)
        before = value_words(old.definitions[key], old[key], units) if key in old else ""
        if key in since and (before, old[key].state if key in old else "unknown") != (row.stands, row.state):
            found.append(SaidSince(row.label, before, row.stands, row.state, row.note))
    return found
