"""`manage.py level` as its user runs it, on an instance small enough to solve by hand."""

import io
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from coordination.console.refused import Refused

ROOT = Path(__file__).resolve().parents[2]
# Jobs 2, 3 and 4 take 4, 3 and 2 days and 2, 2 and 1 of three crews: 2 and 3 never go together, so 7 days is least.
INSTANCE = """\
PRECEDENCE RELATIONS:
jobnr.    #modes  #successors   successors
   1        1          3           2   3   4
   2        1          1           5
   3        1          1           5
   4        1          1           5
   5        1          0
************************************************************************
REQUESTS/DURATIONS:
jobnr. mode duration  R 1
------------------------------------------------------------------------
  1      1     0       0
  2      1     4       2
  3      1     3       2
  4      1     2       1
  5      1     0       0
************************************************************************
RESOURCEAVAILABILITIES:
  R 1
   3
************************************************************************
"""


def hard_instance(jobs=90):
    """Many jobs for few crews, so that a search is not done in a moment."""
    lines = ["PRECEDENCE RELATIONS:", "jobnr. #modes #successors successors"]
    for job in range(1, jobs + 1):
        after = [other for other in (job + 7, job + 11) if other <= jobs]
        lines.append(" ".join(map(str, [job, 1, len(after), *after])))
    lines += ["*" * 40, "REQUESTS/DURATIONS:", "jobnr. mode duration R 1 R 2 R 3", "-" * 40]
    lines += [
        f"{job} 1 {1 + job * 7 % 10} {job * 3 % 8} {job * 5 % 9} {job * 7 % 6}" for job in range(1, jobs + 1)
    ]
    return "\n".join([*lines, "*" * 40, "RESOURCEAVAILABILITIES:", "R 1 R 2 R 3", "12 12 10", "*" * 40, ""])


def test_a_small_instance_gives_the_shortest_schedule_in_the_agreed_form(pipe_manage):
    answer = pipe_manage("level", "-", "--seconds", "1", "--workers", "2", "--json", given=INSTANCE)
    assert (answer.returncode, answer.stderr) == (0, "")
    told = json.loads(answer.stdout)
    assert list(told) == ["makespan", "bound", "starts"]
    starts = told["starts"]
    assert (told["makespan"], sorted(starts), starts["1"], starts["5"]) == (7, list("12345"), 0, 7)
    assert 6 <= told["bound"] <= 7  # 16 crew days over 3 crews; the solver proves 7 if it is given the time
    assert starts["2"] >= starts["3"] + 3 or starts["3"] >= starts["2"] + 4


def test_the_same_in_words_with_one_worker(tmp_path):
    file = tmp_path / "small.sm"
    file.write_text(INSTANCE)
    out = io.StringIO()
    call_command("level", str(file), seconds=1, workers=1, stdout=out)
    words = out.getvalue().splitlines()
    assert words[0] == "7 days; no schedule is shorter than 6"
    assert words[2].split() == ["job", "starts", "on", "day"]
    assert len(words) == 8


def test_what_is_no_instance_is_refused(tmp_path, pipe_manage):
    none = pipe_manage("level", "-", "--json", given='{"tasks": []}')
    assert (none.returncode, none.stdout) == (2, "")
    assert none.stderr.splitlines() == [
        "Refused: standard input",
        "  not a readable .sm file: no section PRECEDENCE RELATIONS",
    ]
    ring = tmp_path / "ring.sm"
    ring.write_text(INSTANCE.replace("   5        1          0", "   5        1          1           2"))
    with pytest.raises(Refused) as refused:
        call_command("level", str(ring))
    assert refused.value.faults == ("2 > 5 > 2: these tasks wait for each other in a ring",)
    with pytest.raises(
        CommandError, match="argument --seconds: 'soon' is not a whole number from 1 to 86400"
    ):
        call_command("level", str(ring), "--seconds", "soon")


def test_stopped_early_it_keeps_its_best(tmp_path):
    file = tmp_path / "hard.sm"
    file.write_text(hard_instance())
    command = ["level", str(file), "--seconds", "300", "--workers", "2", "--json", "--verbosity", "2"]
    with subprocess.Popen(
        [sys.executable, str(ROOT / "manage.py"), *command],
        env={**os.environ, "SILL_VAR": str(tmp_path / "var")},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    ) as running:
        assert running.stderr.readline() == "Searching for 300 s; Ctrl-C keeps the best so far.\n"
        time.sleep(1)
        os.killpg(running.pid, signal.SIGINT)  # as a terminal does it: the second search is in the group too
        out, _err = running.communicate(timeout=60)
    told = json.loads(out)
    assert (running.returncode, len(told["starts"]), told["bound"] <= told["makespan"]) == (0, 90, True)
