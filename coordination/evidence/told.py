"""What the record says of evidence that was handed in."""

from collections.abc import Sequence
from typing import Any

from coordination.evidence.entering import Entry
from coordination.evidence.models import Evidence
from coordination.projects.models import Requirement


def body_of(requirement: Requirement, rows: Sequence[Evidence], entry: Entry) -> dict[str, Any]:
    return {
        "requirement": str(requirement),
        "terms_sha": requirement.terms_sha,
        "items": [_of_row(row) for row in rows],
        **entry.as_body(),
    }


def _of_row(row: Evidence) -> dict[str, Any]:
    found = {
        "uid": str(row.uid),
        "sha256": row.blob.sha256 if row.blob else None,
        "file_name": row.file_name,
        "value": row.value,
        "typed": row.typed,
        "in_tolerance": row.in_tolerance,
        "instrument": row.instrument,
        "number": row.number,
        "dated": row.dated.isoformat() if row.dated else None,
        "taken_at": row.taken_at.isoformat() if row.taken_at else None,
        "taken_by": row.taken_by,
        "note": row.note,
        "result": row.result,
    }
    return {key: value for key, value in found.items() if value not in (None, "")}
