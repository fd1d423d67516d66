"""Work that is done at several places under one name: only the place tells it apart."""

from collections import defaultdict
from collections.abc import Iterable

from django.utils.text import capfirst

from coordination.projects.models import Task


def sharing_a_name(tasks: Iterable[Task]) -> frozenset[str]:
    """Keys of the tasks whose name others have, too."""
    named: defaultdict[str, list[str]] = defaultdict(list)
    for task in tasks:
        named[str(task.derived.get("text"))].append(task.key)
    return frozenset(key for keys in named.values() if len(keys) > 1 for key in keys)


def in_place(name: str, place: str) -> str:
    """``Landing 2: Hang and align the hoistway door``; the name alone where no place is known."""
    return f"{capfirst(place)}: {name}" if place else name
