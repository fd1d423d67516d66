"""The links of the five people as a text, with what each of them finds to do. ADDRESS stands for where it is served."""

from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import datetime

from coordination.access.actions import send_sign_in_link
from coordination.access.models import Project
from coordination.console.demo.cast import Cast
from coordination.gates.queries import look_at

MINUTES = 60 * 24 * 365


def ways_in(cast: Cast, jobs: Iterable[tuple[str, Mapping[str, str]]], now: datetime) -> str:
    """``jobs``: the last word on each, and the tokens of its links by company or purpose."""
    lines = ["", "Ways in. Each link opens without a password; open two people's links in two browser windows,",
             "one of them private, to be both at once.", "", "On every job:"]  # fmt: skip
    for role in ("coordinator", "contractor", "lift crew"):
        person = cast.people[role]
        token = send_sign_in_link(person, now, minutes=MINUTES, once=False)
        lines.append(_line(role, person.name, token))
    for word, tokens in jobs:
        lines += ["", word.strip()]
        project = Project.objects.get(supplier=cast.supplier, name=word.strip().rpartition(":")[0])
        waiting = to_do(project, now)
        for name, token in tokens.items():
            lines.append(_way(cast, name, token, waiting))
    return "\n".join([*lines, ""])


def to_do(project: Project, now: datetime) -> Mapping[str, int]:
    """By company, how many pieces of work are its to begin or to go on with."""
    scene = look_at(project, now)
    return Counter(
        scene.holding.company_of(task.trade)[0]
        for task in scene.holding.tasks
        if task.retired_in is None
        and not task.is_gate
        and task.finished_on is None
        and (task.begun_on or scene.ready(task).may_start)
    )


def _way(cast: Cast, name: str, token: str, waiting: Mapping[str, int]) -> str:
    if name == "owner page":
        return _line("owner", cast.people["owner"].name, token)
    if name == "inspection":
        return _line("inspector", "", token)
    return _line("subcontractor", f"{name} ({waiting.get(name, 0)} to do)", token)


def _line(role: str, name: str, token: str) -> str:
    return f"  {role:14} {name:34} ADDRESS/l/{token}"
