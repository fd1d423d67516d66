"""While the demo plays, rows come from actions alone: the ORM's writing is blocked everywhere else."""

import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from django.db.models import Model, QuerySet

DECIDERS = re.compile(
    r"coordination\.(record|access|projects|dates|evidence|gates|handover|notices)\.actions(\.|$)"
    r"|coordination\.dates\.(crews|levelling_runs|delay_causes|calls|visit_terms|own_links|trade_days|done_by|order_of_work)$"
    r"|coordination\.handover\.(list_words|packs)$"
    r"|coordination\.(files|background)\."
    r"|coordination\.evidence\.(renditions|marking)$"
)
WRITERS = ("create", "update", "bulk_create", "bulk_update", "delete")


class WrittenOutsideActions(AssertionError):
    """Something tried to write a row that no action decided."""


@contextmanager
def only_actions() -> Iterator[None]:
    """Refuse every write that does not come out of an action."""
    kept: list[tuple[type, str, Callable[..., Any]]] = [
        *((QuerySet, name, getattr(QuerySet, name)) for name in WRITERS),
        (Model, "save", Model.save),
        (Model, "delete", Model.delete),
    ]
    for owner, name, original in kept:
        setattr(owner, name, _guarded(original))
    try:
        yield
    finally:
        for owner, name, original in kept:
            setattr(owner, name, original)


def _guarded(original: Callable[..., Any]) -> Callable[..., Any]:
    def write(*args: Any, **kwargs: Any) -> Any:
        if not _an_action_is_calling():
            raise WrittenOutsideActions(f"{original.__qualname__} was called outside an action")
        return original(*args, **kwargs)

    return write


def _an_action_is_calling() -> bool:
    frame = sys._getframe(2)
    while frame is not None:
        if DECIDERS.match(frame.f_globals.get("__name__", "")):
            return True
        frame = frame.f_back  # type: ignore[assignment]
    return False
