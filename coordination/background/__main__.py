"""The child process: ``python -m coordination.background module:function key``, only started by ``doing``."""

import os
import signal
import sys
import threading

import django

from coordination.background.work import named


def die_with_parent() -> None:
    """Our standard input ends when the worker that started us is gone, however it went."""
    os.read(0, 1)
    os.killpg(os.getpgrp(), signal.SIGKILL)


def main(name: str, key: str) -> None:
    threading.Thread(target=die_with_parent, daemon=True).start()
    django.setup()
    function = named(name)
    if function is None:
        raise SystemExit(f"There is no {name}.")
    function(key)


if __name__ == "__main__":
    main(*sys.argv[1:])
