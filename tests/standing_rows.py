"""Rows that many tests begin with: made once through the real actions, laid down again as they were made.

Only inside a test's own transaction on SQLite, and only where every table stands as it stood when they were made;
anywhere else they are made anew. So no test can tell the two apart, except by its clock.
"""

import functools
import pickle
from collections.abc import Callable
from typing import Any, ParamSpec, TypeVar

from django.apps import apps
from django.db import connection

Rows = list[tuple[str, int, list[tuple[Any, ...]]]]
P = ParamSpec("P")
R = TypeVar("R")
_KEPT: dict[tuple[bytes, tuple[int, ...]], tuple[Rows, bytes]] = {}


def remembered(make: Callable[P, R]) -> Callable[P, R]:
    """``make`` is called once for the same arguments in the same surroundings; its rows and answer come again."""

    @functools.wraps(make)
    def again(*arguments: P.args, **named: P.kwargs) -> R:
        if connection.vendor != "sqlite" or not connection.in_atomic_block:
            return make(*arguments, **named)
        before = _last_ids()
        key = (pickle.dumps((make.__module__, make.__qualname__, arguments, sorted(named.items()))), before)
        if key not in _KEPT:
            made = make(*arguments, **named)
            _KEPT[key] = _rows_after(before), pickle.dumps(made)
            return made
        rows, answer = _KEPT[key]
        _lay_down(rows)
        return pickle.loads(answer)

    return again


@functools.cache
def _tables() -> tuple[str, ...]:
    models = apps.get_models(include_auto_created=True)
    return tuple(m._meta.db_table for m in models if m.__module__.startswith("coordination."))


def _last_ids() -> tuple[int, ...]:
    ids = " UNION ALL ".join(f"SELECT coalesce(max(rowid), 0) FROM {table}" for table in _tables())
    with connection.cursor() as cursor:
        cursor.execute(ids)
        return tuple(row[0] for row in cursor.fetchall())


def _rows_after(before: tuple[int, ...]) -> Rows:
    found = []
    with connection.cursor() as cursor:
        for table, last in zip(_tables(), before, strict=True):
            cursor.execute(f"SELECT * FROM {table} WHERE rowid > %s ORDER BY rowid", [last])
            if rows := cursor.fetchall():
                found.append((table, len(rows[0]), rows))
    return found


def _lay_down(rows: Rows) -> None:
    with connection.cursor() as cursor:
        for table, width, values in rows:
            cursor.executemany(f"INSERT INTO {table} VALUES ({', '.join(['%s'] * width)})", values)
