"""A job file that names rules of the place: read beside it, checked together, named by file, entry and key."""

from pathlib import Path

import pytest

from coordination.projects.job_file import JobFileErrors, read_job

RULES = Path(__file__).parents[2] / "fixtures" / "rules"
JOB = 'rules = %s\n[project]\nname = "Harbor job"\n[pit]\ndepth = "14 in"\n'


def job(folder: Path, rules: str) -> Path:
    path = folder / "job.toml"
    path.write_text(JOB % rules)
    return path


def test_rules_are_read_beside_the_job(tmp_path: Path) -> None:
    for name in ("harbor-town.toml", "lantern-lifts.toml"):
        (tmp_path / name).write_text((RULES / name).read_text())
    read = read_job(job(tmp_path, '["harbor-town.toml", "lantern-lifts.toml"]'))
    assert [rules.stem for rules in read.rules] == ["harbor-town", "lantern-lifts"]
    assert read.rules[0].text == (RULES / "harbor-town.toml").read_text()


def test_a_job_without_rules_has_none(tmp_path: Path) -> None:
    assert read_job(job(tmp_path, "[]")).rules == ()


@pytest.mark.parametrize(
    ("rules", "key", "told"),
    [
        ('"harbor-town.toml"', "rules", "is not a list of paths"),
        ('["nowhere.toml"]', "rules", "there is no text file nowhere.toml"),
        ('["wrong.toml"]', "rules wrong.toml", "addition room-lamp: task"),
        ('["photo.toml"]', "rules", "there is no text file photo.toml"),
    ],
)
def test_wrong_rules_are_named(tmp_path: Path, rules: str, key: str, told: str) -> None:
    town = (RULES / "harbor-town.toml").read_text()
    (tmp_path / "wrong.toml").write_text(town.replace('task = "room-light"', 'task = "room-lamp"'))
    (tmp_path / "photo.toml").write_bytes(b"\xff\xd8\xff\xe0")
    with pytest.raises(JobFileErrors) as refused:
        read_job(job(tmp_path, rules))
    assert [(where, wrong) for where, wrong, _right in refused.value.faults] == [(key, told)]
