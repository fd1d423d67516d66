"""A PDF's copy for strangers, made in a process of its own: what is made to be too much takes down nothing but that.

``python -m coordination.files.pdf_apart FILE.pdf COPY.pdf`` writes the copy and prints how it went.
"""

import subprocess
import sys
from pathlib import Path

from coordination.files.pdf_copies import REASONS, NotCopied, for_strangers

SECONDS, MEMORY, LARGEST = 60, 1_000_000_000, 100_000_000
STRIPPED, UNSIGNED, SIGNED = "stripped", "unsigned", "signed"
COPIES = {STRIPPED, UNSIGNED}


def copied_apart(original: Path, copy: Path) -> str:
    """Write ``copy`` for strangers and say how, one of COPIES; SIGNED for one that goes as it is. Raises NotCopied.

    What takes more than SECONDS of the processor, MEMORY or LARGEST bytes is "too much".
    """
    command = [sys.executable, "-m", "coordination.files.pdf_apart", str(original), str(copy)]
    root = Path(__file__).resolve().parents[2]
    try:
        answer = subprocess.run(  # noqa: S603  our own interpreter, our own module
            command, cwd=root, timeout=2 * SECONDS, check=True, capture_output=True, text=True
        )
    except subprocess.SubprocessError as error:
        raise NotCopied("too much") from error
    how = answer.stdout.strip()
    if how in REASONS:
        raise NotCopied(how)
    return how


def main(original: Path, copy: Path) -> str:
    """How it went: one of COPIES, SIGNED, or one of REASONS."""
    try:
        made = for_strangers(original.read_bytes())
    except NotCopied as fault:
        return fault.reason
    if made is None:
        return SIGNED
    copy.write_bytes(made.content)
    return UNSIGNED if made.unsigned else STRIPPED


def _within_limits() -> None:
    import resource

    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_FSIZE, (LARGEST, LARGEST))


if __name__ == "__main__":
    _within_limits()
    sys.stdout.write(main(Path(sys.argv[1]), Path(sys.argv[2])))
