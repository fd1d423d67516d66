"""Work that is done at several places under one name: only the place tells it apart."""

from collections import defaultdict
from collections.abc import Iterable, Mapping

from django.utils.text import capfirst

from coordination.access.models import Project
from coordination.projects.models import Task
from coordination.projects.queries import standing_plan


def sharing_a_name(tasks: Iterable[Task]) -> frozenset[str]:
    """Keys of the tasks whose name others have, too."""
    named: defaultdict[str, list[str]] = defaultdict(list)
    for task in tasks:
        named[str(task.derived.get("text"))].append(task.key)
    return frozenset(key for keys in named.values() if len(keys) > 1 for key in keys)


def telling_apart(project: Project, tasks: Iterable[Task] | None = None) -> dict[str, Mapping[str, str]]:
    """The name of the place, in each language, by the key of a task that only it tells apart.

    ``tasks`` are all of the project, where they are loaded.
    """
    rows = list(Task.objects.filter(project=project) if tasks is None else tasks)
    alike = sharing_a_name(rows)
    places = {place.key: place.text for place in standing_plan(project).places} if alike else {}
    return {row.key: places[row.place] for row in rows if row.key in alike and row.place in places}


def in_place(name: str, place: str) -> str:
    """``Landing 2: Hang and align the hoistway door``; the name alone where no place is known."""
    return f"{capfirst(place)}: {name}" if place else name
