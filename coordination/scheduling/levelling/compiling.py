"""Inner loops as machine code: made once by numba and kept on disk, where it finds room for it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any, TypeVar, cast

import numba

SLICE_SECONDS = 0.02
Loop = TypeVar("Loop", bound=Callable[..., Any])


def compiled(loop: Loop) -> Loop:
    """``loop`` as machine code from its first call on, with whatever types that call has."""
    try:
        made = numba.njit(cache=True, nogil=True)(loop)
    except RuntimeError:  # no folder can be written
        made = numba.njit(nogil=True)(loop)
    return cast("Loop", made)


def made_ready(first_use: Callable[[], object], keep_going: Callable[[], bool]) -> bool:
    """Has ``first_use`` come to its end, beside us, while ``keep_going()``? Raises what it raises.

    The first run of all compiles for some seconds.
    """
    faults: list[BaseException] = []

    def run() -> None:
        try:
            first_use()
        except BaseException as fault:
            faults.append(fault)

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    while thread.is_alive() and keep_going():
        thread.join(SLICE_SECONDS)
    if faults:
        raise faults[0]
    return not thread.is_alive()
