"""System checks of the record."""

from collections.abc import Sequence
from typing import Any

from django.core.checks import CheckMessage, Error, Tags, register
from django.db import connections

from coordination.record.triggers import missing_triggers


@register(Tags.database)
def triggers_are_there(databases: Sequence[str] | None = None, **kwargs: Any) -> list[CheckMessage]:
    """Every append-only table must carry its triggers."""
    return [
        Error(
            f"The trigger {name} is missing: rows of an append-only table could be changed.",
            hint="Run: python manage.py migrate",
            id="record.E001",
        )
        for alias in databases or []
        for name in missing_triggers(connections[alias])
    ]
