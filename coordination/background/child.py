"""The worker's side of its child process: started when there is something to do, handed one key at a time, kept for the
next one, killed when it takes too long, replaced when it is gone.
"""

import contextlib
import json
import os
import select
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Self

from coordination.background import doing
from coordination.background.doing import Clock, Failed, beat
from coordination.background.models import Lease
from coordination.background.work import Work, name_of

START = 60.0
IDLE = 30.0
ROOMY = 300 * 1024 * 1024


class Child:
    """Does the works of one worker in a process of its own. A context manager: it leaves nothing behind."""

    def __init__(self) -> None:
        self._process: subprocess.Popen[bytes] | None = None
        self._used = 0.0

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.end()

    def do(self, work: Work, key: str, lease: Lease, clock: Clock) -> None:
        """Do one piece of work there while its lease is held. Raises Failed, also after ``work.limit`` seconds."""
        try:
            error = self._answer(name_of(work.do), key, work.limit, lease, clock)
        except BaseException:
            self.end()
            raise
        self._used = time.monotonic()
        if self._process is not None and _memory_of(self._process.pid) > ROOMY:
            self.end()
        if error:
            raise Failed(error)

    def rest(self) -> None:
        """Give its memory back when it has had nothing to do for IDLE seconds."""
        if self._process is not None and time.monotonic() - self._used > IDLE:
            self.end()

    def end(self) -> int | None:
        """Kill it with all it started; gives how it ended, None when there was none."""
        process, self._process = self._process, None
        if process is None:
            return None
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)  # before it is reaped: until then the number is its own
        process.communicate()
        return process.returncode

    def _answer(self, name: str, key: str, limit: float, lease: Lease, clock: Clock) -> str:
        order = json.dumps([name, key])
        process = self._process
        if process is None or not self._still_takes(process, order, lease, clock):
            self.end()
            self._process = process = _started()
            self._line(process, START, lease, clock)
            self._order(process, order, lease, clock)
        return str(json.loads(self._line(process, limit, lease, clock)))

    def _still_takes(self, process: subprocess.Popen[bytes], order: str, lease: Lease, clock: Clock) -> bool:
        """Hand the order to the child of last time. False when it ended since: nothing was begun, no attempt lost."""
        try:
            self._order(process, order, lease, clock)
        except Failed:
            return False
        return True

    def _order(self, process: subprocess.Popen[bytes], order: str, lease: Lease, clock: Clock) -> None:
        """Hand it over and hear that it was taken."""
        assert process.stdin is not None  # noqa: S101  it was opened as a pipe
        try:
            process.stdin.write(f"{order}\n".encode())
            process.stdin.flush()
        except BrokenPipeError:
            raise Failed(self._how_it_ended(process)) from None
        self._line(process, START, lease, clock)

    def _line(self, process: subprocess.Popen[bytes], limit: float, lease: Lease, clock: Clock) -> bytes:
        assert process.stdout is not None  # noqa: S101  it was opened as a pipe
        end = time.monotonic() + limit
        while (left := end - time.monotonic()) > 0:
            if select.select([process.stdout], [], [], min(left, doing.BEAT))[0]:
                if line := process.stdout.readline():
                    return line
                raise Failed(self._how_it_ended(process))
            if not beat(lease, clock):
                raise Failed("Somebody else has taken it over.")
        raise Failed(f"Stopped after {limit:g} seconds.")

    def _how_it_ended(self, process: subprocess.Popen[bytes]) -> str:
        os.waitid(os.P_PID, process.pid, os.WEXITED | os.WNOWAIT)
        code = self.end() or 0
        if code < 0:
            return f"Stopped by signal {-code} ({signal.Signals(-code).name})."
        return f"Ended with code {code} and without an answer."


def _started() -> subprocess.Popen[bytes]:
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)}
    return subprocess.Popen(
        [sys.executable, "-m", "coordination.background"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env=environment,
        bufsize=0,  # nothing is read ahead where select does not see it
        start_new_session=True,
    )


def _memory_of(pid: int) -> int:
    """Bytes that a process keeps in memory; 0 where the system does not say."""
    try:
        pages = Path(f"/proc/{pid}/statm").read_text().split()[1]
    except (OSError, IndexError):
        return 0
    return int(pages) * os.sysconf("SC_PAGE_SIZE")
