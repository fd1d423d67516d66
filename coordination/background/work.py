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

    ``child``: in a process of its own, killed after ``limit`` seconds; ``do`` must then be a function at the top of
    a module. Otherwise ``do`` runs in the worker and no limit can be enforced. After ``attempts`` failures in a row it
    is given up.
    """

    kind: str
    find: Callable[[datetime], Iterable[str]]
    do: Callable[[str], object]
    child: bool = False
    limit: float = 120.0
    attempts: int = 5

    def __post_init__(self) -> None:
        if self.child and named(name_of(self.do)) is not self.do:
            raise ValueError(f"{self.kind}: a child process can only find a function at the top of a module.")


def name_of(function: Callable[[str], object]) -> str:
    """The name under which another process finds ``function``: ``module:function``."""
    return f"{function.__module__}:{function.__qualname__}"


def named(name: str) -> Callable[[str], object] | None:
    """The function of that name, None when there is none."""
    module, _, function = name.partition(":")
    return getattr(importlib.import_module(module), function, None)
