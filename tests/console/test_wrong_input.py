"""What a user gets wrong at the command line is named with what would be right: no traceback, and not zero."""

from argparse import ArgumentTypeError
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from coordination.console.management.commands.serve import listens_on


def test_a_database_that_is_not_ready_says_how_to_make_it_ready(run_manage: Any, tmp_path: Path) -> None:
    told = run_manage("verify_record", var=tmp_path)
    assert (told.returncode, told.stdout) == (1, "")
    assert told.stderr.startswith("The database does not answer: no such table: record_chain\n")
    assert "Make it ready with: python manage.py migrate." in told.stderr
    whole = run_manage("verify_record", "--traceback", var=tmp_path)
    assert "Traceback" in whole.stderr


def test_a_folder_that_cannot_be_made_is_named(run_manage: Any, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    told = run_manage("check", var=tmp_path / "file" / "var")
    folder = str(tmp_path / "file" / "var")
    assert told.returncode == 1
    assert told.stderr == f"SILL_VAR is {folder!r}; write a folder that can be written.\n"


@pytest.mark.parametrize(
    "typed", ["nonsense", "127.0.0.1", ":8000", "127.0.0.1:0", "127.0.0.1:99999", "host:x"]
)
def test_an_address_to_serve_on_is_host_and_port(typed: str) -> None:
    with pytest.raises(ArgumentTypeError) as refused:
        listens_on(typed)
    assert str(refused.value) == f"{typed!r} is no address; write host:port, such as 127.0.0.1:8000"
    assert [listens_on(right) for right in ("127.0.0.1:8000", "[::1]:80")] == ["127.0.0.1:8000", "[::1]:80"]


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("none.pdf", None, "is no file."),
        (".", None, "is no file."),
        ("empty.pdf", b"", "carries no anchor: it is no report as it was downloaded from here."),
        ("text.pdf", b"hello", "carries no anchor: it is no report as it was downloaded from here."),
        ("half.pdf", b"%PDF-1.7 half", "carries no anchor: it is no report as it was downloaded from here."),
    ],
)
def test_a_file_without_an_anchor_is_named(
    db: None, tmp_path: Path, name: str, content: bytes | None, words: str
) -> None:
    file = tmp_path / name
    if content is not None:
        file.write_bytes(content)
    with pytest.raises(CommandError) as refused:
        call_command("verify_record", report=file)
    assert (str(refused.value), refused.value.returncode) == (f"{file} {words}", 2)
