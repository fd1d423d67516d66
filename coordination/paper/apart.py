"""Make a paper in a process of its own, so that nothing it does or needs stays in this one."""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from coordination.paper.ordering import Order, PaperError, write_order


def render_apart(order: Order, *, limit: float = 300.0) -> bytes:
    """As ``render_pdf``, in a child process that is killed after ``limit`` seconds. Raises PaperError."""
    with tempfile.TemporaryDirectory(prefix="paper-") as name:
        job, target = write_order(order, Path(name)), Path(name) / "paper.pdf"
        command = [sys.executable, "-m", "coordination.paper", str(job), str(target)]
        environment = {**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)}
        try:
            subprocess.run(  # noqa: S603  our own interpreter, our own module
                command, env=environment, timeout=limit, check=True, capture_output=True, text=True
            )
        except subprocess.TimeoutExpired as error:
            raise PaperError(f"stopped after {limit:g} seconds") from error
        except subprocess.CalledProcessError as error:
            raise PaperError(error.stderr.strip() or f"ended with code {error.returncode}") from error
        return target.read_bytes()
