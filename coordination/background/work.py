"""What a kind of background work is."""

import importlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class Work:
    """A kind of work.

    ``find(now)`` gives the keys that need doing, from state alone; ``do(key)`` does one and so changes the state that
    ``find`` reads. It may be cut off anywhere and be called again, so it must be repeatable: write elsewhere, then
    rename; create by key.

    It is done in a child process, where ``do`` is looked up by its name: it must be a function at the top of a module.
    After ``limit`` seconds it is killed, after ``attempts`` failures in a row it is given up.
    """

    kind: str
    find: Callable[[datetime], Iterable[str]]
    do: Callable[[str], object]
    limit: float = 120.0
    attempts: int = 5


def must_be_found_by_name(work: Work) -> None:
    """Raises ValueError for a function that another process cannot find."""
    if named(name_of(work.do)) is not work.do:
        raise ValueError(f"{work.kind}: a child process can only find a function at the top of a module.")


def name_of(function: Callable[[str], object]) -> str:
    """The name under which another process finds ``function``: ``module:function``."""
    return f"{function.__module__}:{function.__qualname__}"


def named(name: str) -> Callable[[str], object] | None:
    """The function of that name; None when its module has none."""
    module, _, function = name.partition(":")
    return getattr(importlib.import_module(module), function, None)
