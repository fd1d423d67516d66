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


class MadeReady:
    """Calls ``first_use`` beside us, which loads code, or compiles for some seconds when none is kept yet."""

    def __init__(self, first_use: Callable[[], object]) -> None:
        self._first_use = first_use
        self._faults: list[BaseException] = []
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def __bool__(self) -> bool:
        """Has it come to its end? Raises what it raised."""
        if self._faults:
            raise self._faults[0]
        return not self._thread.is_alive()

    def wait(self, slices: int, keep_going: Callable[[], bool]) -> bool:
        """Wait for so many slices of time while ``keep_going()``; is it ready?"""
        while slices and not self and keep_going():
            self._thread.join(SLICE_SECONDS)
            slices -= 1
        return bool(self)

    def _run(self) -> None:
        try:
            self._first_use()
        except BaseException as fault:
            self._faults.append(fault)
