"""Pieces of work for the tests. The state they read and change is a folder: ``todo/KEY`` needs doing until ``done/KEY``
is there; every begin and end is a line in ``log``.
"""

import os
import subprocess
import sys
import time
from datetime import datetime, timedelta
from pathlib import Path

from coordination.background.work import Work

KEPT: list[bytes] = []


def folder() -> Path:
    return Path(os.environ["CHORES"])


def lay_out(path: Path, *keys: str) -> None:
    for name in ("todo", "done", "busy"):
        (path / name).mkdir(parents=True, exist_ok=True)
    for key in keys:
        (path / "todo" / key).touch()


def log(word: str, key: str) -> None:
    with (folder() / "log").open("a") as file:
        file.write(f"{word} {key}\n")


def logged(path: Path) -> list[str]:
    return (path / "log").read_text().splitlines() if (path / "log").exists() else []


def find(now: datetime) -> list[str]:
    todo, done = ({path.name for path in (folder() / name).iterdir()} for name in ("todo", "done"))
    return sorted(todo - done)


def finish(key: str) -> None:
    (folder() / "done" / key).touch()


def alone(key: str) -> None:
    """Takes a moment, and notices anybody who is at the same piece of work."""
    busy = folder() / "busy" / key
    if busy.exists() and Path(f"/proc/{busy.read_text()}").exists():
        log("CLASH", key)
    busy.write_text(str(os.getpid()))
    log("begin", key)
    time.sleep(float(os.environ.get("CHORE_SECONDS", "0.05")))
    busy.unlink(missing_ok=True)
    finish(key)
    log("end", key)


def fails(key: str) -> None:
    log("begin", key)
    raise ValueError(f"no {key} today")


def dies(key: str) -> None:
    log("begin", key)
    os.kill(os.getpid(), 9)


def sleeps(key: str) -> None:
    log("begin", key)
    subprocess.Popen([sys.executable, "-c", f"import time; time.sleep(100)  # {folder()}"])
    time.sleep(100)


def breaks_down(key: str) -> None:
    """As a broken decoder: a wrong address is read."""
    import ctypes

    log("begin", key)
    if key == "a":
        ctypes.string_at(0)
    finish(key)


def leaves_at_once(key: str) -> None:
    log("begin", key)
    os._exit(3)


def swells(key: str) -> None:
    """Keeps 400 MB, as a library that never gives memory back."""
    log("swollen", str(os.getpid()))
    KEPT.append(b"x" * 400_000_000)
    finish(key)


def who(key: str) -> None:
    log("done by", str(os.getpid()))
    finish(key)


def chatters(key: str) -> None:
    """Prints and reads where orders and answers must not be disturbed, and so does what it starts."""
    sys.stdout.write("to standard output\n")
    log("read", repr(sys.stdin.read()))
    subprocess.run([sys.executable, "-c", "print('me too'); input()"], check=False, stderr=subprocess.DEVNULL)
    finish(key)


def dies_once(key: str) -> None:
    if f"begin {key}" not in logged(folder()):
        dies(key)
    alone(key)


def tells_database(key: str) -> None:
    from django.db import connection

    log("database", f"{connection.vendor} {connection.in_atomic_block}")
    finish(key)


def never_settles(key: str) -> None:
    log("begin", key)


def chore(do, **options) -> Work:
    return Work(do.__name__, find, do, **options)


def main(seconds_of_lease: str, name: str) -> None:
    """A worker as a process of its own: ``python chores.py 1.5 alone``."""
    import threading

    import django

    django.setup()
    from coordination.background import doing, leasing, running

    leasing.LEASE = timedelta(seconds=float(seconds_of_lease))
    doing.BEAT = float(seconds_of_lease) / 3
    from tests.background import chores

    running.run_forever([chore(getattr(chores, name))], threading.Event(), pause=0.05)


if __name__ == "__main__":
    main(*sys.argv[1:])
