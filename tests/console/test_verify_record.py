"""`manage.py verify_record` as its user runs it, on a file, before and after an attack on it."""

import shutil
import sqlite3
from datetime import UTC, datetime

import pytest
from django.db import connection

from coordination.record.actions import deciding_on


@pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
def test_a_whole_chain_is_confirmed_and_a_broken_one_is_named_by_its_place(
    real_database, run_manage, tmp_path
):
    for day in range(3):
        with deciding_on("s", actor={}, at=datetime(2026, 3, 2, tzinfo=UTC)) as pen:
            pen.write("work begun", subject="framing@rail-wall", body={"day": day})
    connection.close()
    file = tmp_path / "sill-and-plumb.sqlite3"
    shutil.copy(real_database.removeprefix("sqlite://"), file)
    whole = run_manage("verify_record", var=tmp_path)
    assert (whole.returncode, whole.stdout.splitlines()[-1]) == (0, "1 chain holds.")
    with sqlite3.connect(file) as raw:
        raw.execute("DROP TRIGGER record_event_refuses_update")
        raw.execute("UPDATE record_event SET verb = 'nothing' WHERE seq = 2")
    raw.close()
    broken = run_manage("verify_record", var=tmp_path)
    assert broken.returncode == 1
    assert broken.stdout.splitlines() == ["s: BROKEN at event 2: the event was changed after it was written"]
    assert broken.stderr.strip() == "CommandError: The record does not hold."
    named = run_manage("verify_record", "s", var=tmp_path)
    assert (named.returncode, named.stdout) == (1, broken.stdout)
    unknown = run_manage("verify_record", "nobody", var=tmp_path)
    assert (unknown.returncode, unknown.stdout) == (2, "")
    assert unknown.stderr.splitlines() == [
        "Refused: nobody",
        "  No site is called that.",
        "  No site was opened yet.",
    ]
