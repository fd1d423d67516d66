"""The one block in which a visitor decides something about a project."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime

from coordination.access.models import Project
from coordination.access.visitors import SYSTEM_ACTOR, Visitor
from coordination.record.actions import Pen, deciding_on


@contextmanager
def deciding(
    project: Project, visitor: Visitor | None, at: datetime, *, claimed_at: datetime | None = None
) -> Iterator[Pen]:
    """Lock the project's chain before the first read and write exactly one event.

    ``visitor`` None is the program itself (a report was made, a reminder sent). ``claimed_at`` is when somebody
    says it happened, where that differs from ``at``. Everything the block reads must be read inside it.
    Raises ValueError when the visitor stands on another project.
    """
    if visitor is not None and visitor.project.pk != project.pk:
        raise ValueError("The visitor stands on another project.")
    actor = SYSTEM_ACTOR if visitor is None else visitor.as_actor()
    with deciding_on(project.stream, actor=actor, at=at, claimed_at=claimed_at) as pen:
        yield pen
