"""The power goes at any line of taking a photo in: every original stays whole, and what is missing is made again."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

PROGRAM = Path(__file__).with_name("killed_while_taking_in.py")


def test_killed_at_every_line_from_the_upload_to_the_copies(sqlite_template: Path, tmp_path: Path) -> None:
    """kill -9 at each line of arrivals, handing in, measuring and renditions; then ``verify_evidence``."""
    var = tmp_path / "cut"
    (var / "files").mkdir(parents=True)
    shutil.copy(sqlite_template, var / "sill-and-plumb.sqlite3")
    environment = {**os.environ, "SILL_VAR": str(var), "DJANGO_SETTINGS_MODULE": "coordination.settings"}

    def run(*words: str) -> str:
        answer = subprocess.run(
            [sys.executable, str(PROGRAM), *words],
            env=environment,
            capture_output=True,
            text=True,
            timeout=1200,
            check=False,
        )
        assert (answer.returncode, answer.stderr) == (0, "")
        return answer.stdout

    at = run("prepare").strip()
    template = shutil.move(var / "sill-and-plumb.sqlite3", tmp_path / "prepared.sqlite3")
    killed, left_behind, decided, made_again = (int(word) for word in run("kill", str(template), at).split())
    assert killed > 60
    # It would prove nothing if no kill had left a temporary file, come after the decision, or cost a copy.
    assert (left_behind > 3, decided > 10, made_again > 3) == (True, True, True)
