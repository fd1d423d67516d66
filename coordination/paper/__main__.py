"""``python -m coordination.paper JOB.json TARGET.pdf``: make what ``write_order`` ordered.

The PDF appears under its name whole or not at all. Faults go to standard error, with exit code 1.
"""

import os
import sys
import tempfile
from pathlib import Path

from coordination.paper.ordering import Order, PaperError, read_order
from coordination.paper.rendering import render_to


def main(job: str, target: str) -> int:
    try:
        put(read_order(Path(job)), Path(target))
    except PaperError as error:
        sys.stderr.write(f"{error}\n")
        return 1
    return 0


def put(order: Order, target: Path) -> None:
    handle, name = tempfile.mkstemp(dir=target.parent, suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            render_to(order, file)
            file.flush()
            os.fsync(handle)
        os.replace(name, target)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
