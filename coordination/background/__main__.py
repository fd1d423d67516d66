"""The child process: ``python -m coordination.background``, only started by ``child``.

It says that it is there, then reads orders from its standard input and does one after another. Lines of JSON: an order
is a function's name and a key; it is answered twice, when it is taken and with what went wrong, empty when nothing did.
"""

import json
import logging
import os
import queue
import signal
import threading
from typing import TextIO

import django
from django.db import close_old_connections, reset_queries

from coordination.background.work import named

logger = logging.getLogger(__name__)


def main() -> None:
    orders, answers = pipes()
    waiting: queue.SimpleQueue[str] = queue.SimpleQueue()
    threading.Thread(target=listen, args=(orders, waiting), daemon=True).start()
    django.setup()
    say(answers, "")
    while True:
        order = json.loads(waiting.get())
        say(answers, "")
        say(answers, carry_out(*order))


def pipes() -> tuple[TextIO, TextIO]:
    """Orders and answers under numbers of their own, so that nothing the work prints or starts gets between."""
    orders, answers = os.fdopen(os.dup(0)), os.fdopen(os.dup(1), "w")
    with open(os.devnull) as nothing:
        os.dup2(nothing.fileno(), 0)
    os.dup2(2, 1)
    return orders, answers


def listen(orders: TextIO, waiting: "queue.SimpleQueue[str]") -> None:
    """Take orders in, and die with the worker: however it goes, its end of the pipe closes."""
    for line in orders:
        waiting.put(line)
    os.killpg(os.getpgrp(), signal.SIGKILL)


def carry_out(name: str, key: str) -> str:
    """Do it; gives the name and text of whatever it raised."""
    close_old_connections()
    reset_queries()
    try:
        named(name)(key)
    except Exception as error:
        logger.warning("%s did not get %s done.", name, key, exc_info=True)
        return f"{type(error).__name__}: {error}"
    finally:
        close_old_connections()
    return ""


def say(answers: TextIO, text: str) -> None:
    answers.write(f"{json.dumps(text)}\n")
    answers.flush()


if __name__ == "__main__":
    main()
