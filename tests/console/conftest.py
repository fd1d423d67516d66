"""Commands that read standard input, run as their user would."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def pipe_manage(tmp_path):
    def manage(*arguments, given):
        return subprocess.run(
            [sys.executable, str(ROOT / "manage.py"), *map(str, arguments)],
            env={**os.environ, "SILL_VAR": str(tmp_path / "var")},
            input=given,
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )

    return manage
