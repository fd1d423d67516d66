"""Bringing rows of one table into step with what a plan wants, by key."""

from collections.abc import Hashable, Iterable, Mapping
from typing import Any, TypeVar

from django.db.models import Model

Row = TypeVar("Row", bound=Model)
Key = TypeVar("Key", bound=Hashable)


def keep(
    model: type[Row],
    standing: Mapping[Key, Row],
    wanted: Mapping[Key, Mapping[str, Any]],
    number: int,
    *,
    first: Mapping[str, Any],
) -> dict[Key, Row]:
    """Alter rows that are wanted, revive those retired, add what is new with ``first``, retire the rest.

    Rows that are right already are not written. Gives the wanted rows by key.
    """
    kept = {key: standing[key] for key in wanted if key in standing}
    altered = [row for key, row in kept.items() if _alter(row, {**wanted[key], "retired_in": None})]
    dropped = [row for key, row in standing.items() if key not in wanted and row.retired_in is None]  # type: ignore[attr-defined]
    for row in dropped:
        row.retired_in = number  # type: ignore[attr-defined]
    new = {key: model(**values, **first) for key, values in wanted.items() if key not in standing}
    model._default_manager.bulk_create(new.values())
    if altered or dropped:
        model._default_manager.bulk_update([*altered, *dropped], _fields(wanted.values()), batch_size=50)
    return {key: kept.get(key) or new[key] for key in wanted}


def _alter(row: Model, values: Mapping[str, Any]) -> bool:
    """Set ``values`` on ``row``; whether any was different. Rows it belongs to are in its key already."""
    different = {
        name: value
        for name, value in values.items()
        if not isinstance(value, Model) and getattr(row, name) != value
    }
    for name, value in different.items():
        setattr(row, name, value)
    return bool(different)


def _fields(wanted: Iterable[Mapping[str, Any]]) -> list[str]:
    """The fields that any wanted row may alter, and ``retired_in``."""
    names = {name for values in wanted for name, value in values.items() if not isinstance(value, Model)}
    return sorted({*names, "retired_in"})
