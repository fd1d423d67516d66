"""The innermost loop of the population search: one schedule after another, written so that it can be compiled.

Where numba is installed it is compiled in a longer search (that takes a second or more), and then takes about a
twentieth of the time of NumPy's way round. Where it is not, the search goes NumPy's way and gives the same
schedules.
"""

from __future__ import annotations

import importlib
import threading
from functools import lru_cache
from typing import Any


def place(  # noqa: PLR0917  Calls would only make it harder to compile.
    in_turn: Any,
    waits_for: Any,
    lengths: Any,
    needs: Any,
    crews: Any,
    load: Any,
    left: Any,
    ends: Any,
    busy: Any,
) -> None:
    """Fill ``ends`` (boundaries by member and job) and ``busy`` (load by member and day); all are NumPy arrays.

    ``in_turn`` holds jobs by turn and member, ``waits_for`` the jobs each waits for with the number of jobs as
    filler, ``needs`` crews by job and kind, ``load`` what a job adds to a busy day. ``left`` is room by day and
    kind to work in; each job gets the first days from the end of what it waits for that have crews enough.
    """
    count, size = in_turn.shape
    for member in range(size):
        left[:, :] = crews
        for turn in range(count):
            job = in_turn[turn, member]
            begin = 0
            for other in waits_for[job]:
                if other == count:
                    break
                begin = max(begin, ends[member, other])
            day = begin + lengths[job] - 1
            while day >= begin:
                enough = True
                for kind in range(len(crews)):
                    if left[day, kind] < needs[job, kind]:
                        enough = False
                        break
                if enough:
                    day -= 1
                else:
                    begin = day + 1
                    day = begin + lengths[job] - 1
            for day in range(begin, begin + lengths[job]):
                for kind in range(len(crews)):
                    left[day, kind] -= needs[job, kind]
                busy[member, day] += load[job]
            ends[member, job] = begin + lengths[job]


@lru_cache(maxsize=1)
def compiled() -> Any:
    """``place`` as machine code, ready to run, or None where numba is not installed."""
    try:
        numba = importlib.import_module("numba")
        numpy = importlib.import_module("numpy")
    except ImportError:
        return None
    placing = numba.njit(place)
    whole, row = numpy.zeros((1, 1), numpy.int64), numpy.ones(1, numpy.int64)
    placing(whole, whole + 1, row, whole, row, row / 2, whole + 1, whole.copy(), numpy.zeros((1, 1)))
    return placing


class Compiling:
    """Compiles beside the search, which goes on meanwhile and asks now and then."""

    def __init__(self) -> None:
        self._placing: Any = None
        threading.Thread(target=self._compile, daemon=True).start()

    def ready(self) -> Any:
        """``place`` as machine code; None as long as there is none."""
        return self._placing

    def _compile(self) -> None:
        self._placing = compiled()
