"""What the visits in a browser share: real Chromium, and a real server in a process of its own."""

import os
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.conftest import ROOT, free_port


@pytest.fixture
def serving(real_database: str, settings: Any, tmp_path: Path) -> Iterator[str]:
    """The address of ``manage.py serve`` with its worker, on this test's own database and files."""
    address, said = f"127.0.0.1:{free_port()}", tmp_path / "serving.txt"
    environment = {**os.environ, "SILL_VAR": str(settings.VAR), "SILL_DATABASE": real_database}
    command = [sys.executable, str(ROOT / "manage.py"), "serve", "--address", address]
    with said.open("w") as out:
        server = subprocess.Popen(command, env=environment, stdout=out, stderr=subprocess.STDOUT, cwd=ROOT)
        try:
            _wait_for(f"http://{address}/help", server, said)
            yield f"http://{address}"
        finally:
            server.terminate()
            server.wait(30)


def _wait_for(page: str, server: subprocess.Popen[bytes], said: Path) -> None:
    end = time.monotonic() + 60
    while time.monotonic() < end:
        assert server.poll() is None, said.read_text()
        try:
            with urllib.request.urlopen(page, timeout=5):
                return
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            time.sleep(0.2)
    raise AssertionError(f"The server did not answer: {said.read_text()}")
