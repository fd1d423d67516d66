"""A child that kills itself at one of its lines, as a power cut would: what it left is looked at afterwards."""

import os
import signal
import sys
from collections.abc import Callable, Collection

from django.db import connection


def die_at(number: int, watched: Collection[str], act: Callable[[], object]) -> bool:
    """Do it in a child that kills itself before the ``number``-th line that it meets for the first time; was it killed?

    ``watched``: the files whose lines count.
    """
    connection.close()
    if child := os.fork():
        _, status = os.waitpid(child, 0)
        assert status in (0, signal.SIGKILL), status
        return status == signal.SIGKILL
    met: set[tuple[str, int]] = set()

    def trace(frame, event, _):
        if frame.f_code.co_filename not in watched:
            return None
        if event == "line":
            met.add((frame.f_code.co_filename, frame.f_lineno))
            if len(met) == number:
                os.kill(os.getpid(), signal.SIGKILL)
        return trace

    sys.settrace(trace)
    act()
    sys.settrace(None)
    connection.close()
    os._exit(0)
