"""What a PDF from anywhere says of itself, read in a process of its own: hostile files take down nothing but that.

``python -m coordination.paper.looking FILE.pdf`` writes JSON: subject, small attachments, the words of the last page.
"""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

SECONDS, MEMORY, MOST_ATTACHED = 20, 800_000_000, 4_000_000


def look_apart(path: Path) -> dict[str, Any]:
    """What ``told_by`` finds, or nothing where the file cannot be read within the limits."""
    root = Path(__file__).resolve().parents[2]
    try:
        answer = subprocess.run(  # noqa: S603  our own interpreter, our own module
            [sys.executable, "-m", "coordination.paper.looking", str(path)],
            cwd=root, timeout=SECONDS + 5, check=True, capture_output=True, text=True,
        )  # fmt: skip
        found: dict[str, Any] = json.loads(answer.stdout)
    except (subprocess.SubprocessError, ValueError):
        return {}
    return found


def told_by(path: Path) -> dict[str, Any]:
    """Its subject (where a report's code stands), its JSON attachments by name, and the words of its last page."""
    from pypdf import PdfReader

    reader = PdfReader(path, strict=False)
    told = reader.metadata
    attached = {
        name: text.decode()
        for name, (text, *_more) in reader.attachments.items()
        if name.endswith(".json") and len(text) <= MOST_ATTACHED
    }
    subject = str(told.subject or "") if told else ""
    return {"subject": subject, "attached": attached, "last": reader.pages[-1].extract_text()}


def _within_limits() -> None:
    import resource

    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))


if __name__ == "__main__":
    _within_limits()
    sys.stdout.write(json.dumps(told_by(Path(sys.argv[1]))))
