"""`manage.py open_site`: the first coordinator's way in on an empty machine."""

import re
from pathlib import Path

from tests.conftest import ROOT

JOB = str(ROOT / "fixtures" / "facts" / "candle-works.toml")
WHO = ("--supplier", "Larkspur Lifting", "--coordinator", "Ada Fenwick", "--email", "ada@larkspur.example")


def test_a_job_file_becomes_a_site_with_a_way_in_and_wrong_input_opens_nothing(run_manage, tmp_path):
    assert run_manage("migrate", "-v0", var=tmp_path).returncode == 0

    wrong = tmp_path / "wrong.toml"
    wrong.write_text(
        Path(JOB).read_text().replace("depth = '14\"'", 'depth = "14 kg"').replace("../models", "models")
    )
    refused = run_manage("open_site", str(wrong), *WHO, var=tmp_path)
    assert (refused.returncode, refused.stdout) == (2, "")
    assert "pit.depth" in refused.stderr

    nobody = run_manage("open_site", JOB, *WHO[:4], "--email", "not an address", var=tmp_path)
    assert (nobody.returncode, nobody.stdout) == (2, "")
    assert "is not an e-mail address" in nobody.stderr
    assert run_manage("verify_record", var=tmp_path).stdout.splitlines() == ["0 chains hold."]

    opened = run_manage("open_site", JOB, *WHO, var=tmp_path)
    assert opened.returncode == 0, opened.stderr
    first, link = opened.stdout.splitlines()
    assert first == "Quince Lane candle works, drying loft is open. For one day this link signs in:"
    assert re.fullmatch(r"http://127\.0\.0\.1:8000/l/[\w-]{43}", link)
    assert run_manage("verify_rules", var=tmp_path).returncode == 0
