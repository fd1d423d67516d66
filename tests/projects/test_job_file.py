"""A job as a TOML file: read whole or refused whole, every fault by its name."""

import textwrap
from datetime import date
from pathlib import Path

import pytest

from coordination.projects.actions import AuthorityInput, FactInput
from coordination.projects.job_file import JobFileErrors, WorkingDays, read_job

ROOT = Path(__file__).resolve().parent.parent.parent
SHEET = """
    [sheet]
    model = "Ferry 45"
    document = "planning sheet FY-45-LU"
    revision = "C"
    [lift]
    pit_least = '14"'
    """
JOB = """
    model_sheet = "sheet.toml"
    [project]
    name = "Harrow Lane"
    place = "12 Harrow Lane"
    zone = "America/New_York"
    [pit]
    depth = '14 1/2"'
    sump = "unknown"
    groundwater = {value = "no", state = "assumed", said_by = "GC superintendent"}
    [calendar]
    start = 2027-02-01
    holidays = "US-VT"
    [authority.electrical]
    name = "State office"
    notice = 3
    phone = "555-0160"
    permit_on = 2027-01-10
    inspections = ["rough-in", "final"]
    [working_days.site]
    weekdays = ["mon", "tue", "wed", "thu"]
    closed = [2027-12-24]
    opened = [2027-02-06]
    """


@pytest.fixture
def write(tmp_path):
    (tmp_path / "sheet.toml").write_text(textwrap.dedent(SHEET))

    def write_job(text):
        path = tmp_path / "job.toml"
        path.write_text(textwrap.dedent(text), encoding="utf-8")
        return path

    return write_job


def faults(path):
    with pytest.raises(JobFileErrors) as refused:
        read_job(path)
    return [(key, wrong) for key, wrong, _right in refused.value.faults]


def test_everything_in_the_file_is_ready_to_be_entered(write):
    job = read_job(write(JOB))
    assert (job.name, job.place, job.zone, job.code_set) == (
        "Harrow Lane",
        "12 Harrow Lane",
        "America/New_York",
        "us",
    )
    sheet = "model data sheet Ferry 45, planning sheet FY-45-LU, revision C"
    assert job.entries == {
        "lift.drawing_revision": FactInput("known", "C", sheet),
        "lift.pit_least": FactInput("known", '14"', sheet),
        "pit.depth": FactInput("known", '14 1/2"'),
        "pit.groundwater": FactInput("assumed", "no", "", "GC superintendent"),
        "calendar.start": FactInput("known", "2027-02-01"),
        "calendar.holidays": FactInput("known", "US-VT"),
        "authority.electrical.name": FactInput("known", "State office"),
        "authority.electrical.notice": FactInput("known", "3"),
    }
    assert job.authorities == {
        "electrical": AuthorityInput("555-0160", date(2027, 1, 10), ("rough-in", "final"))
    }
    assert job.working_days == {"site": WorkingDays((0, 1, 2, 3), (date(2027, 12, 24),), (date(2027, 2, 6),))}


def test_the_project_may_take_its_name_from_the_facts(write):
    assert read_job(write('[job]\nname = "Quay house"')).name == "Quay house"


@pytest.mark.parametrize(
    ("altered", "found"),
    [
        (("depth = '14 1/2\"'", 'depth = "14"'), [("pit.depth", '"14" has no unit')]),
        (("depth = '14 1/2\"'", 'depth = "14 lb"'), [("pit.depth", '"14 lb" is not a length')]),
        (("depth = '14 1/2\"'", 'dept = "14 in"'), [("pit.dept", "there is no such fact")]),
        (('holidays = "US-VT"', 'holidays = "US-ZZ"'), [("calendar.holidays", "no public holidays on file for 'US-ZZ'")]),
        (("start = 2027-02-01", "start = 2027-02-01T08:00:00"), [("calendar.start", '"2027-02-01 08:00:00" is not a date')]),
        (("[authority.electrical]", "[authority.harbour]"), [
            ("authority.harbour.inspections", "there is no such fact"),
            ("authority.harbour.name", "there is no such fact"),
            ("authority.harbour.notice", "there is no such fact"),
            ("authority.harbour.permit_on", "there is no such fact"),
            ("authority.harbour.phone", "there is no such fact"),
        ]),
        (('phone = "555-0160"', "phone = 5550160"), [("authority.electrical.phone", "5550160 is not a text")]),
        (("permit_on = 2027-01-10", 'permit_on = "soon"'), [("authority.electrical.permit_on", "'soon' is not a date")]),
        (('["rough-in", "final"]', '["rough-in", ""]'), [("authority.electrical.inspections", "is not a list of names")]),
        (('zone = "America/New_York"', 'zone = "Moon/Base"'), [("project.zone", "'Moon/Base' is not a time zone")]),
        (('place = "12 Harrow Lane"', "plaice = 1"), [("project.plaice", "is not known here")]),
        (('name = "Harrow Lane"', "name = 12"), [("project.name", "12 is not a text"), ("project.name", "is missing")]),
        (('model_sheet = "sheet.toml"', 'model_sheet = "gone.toml"'), [("model_sheet", "there is no file gone.toml")]),
        (('model_sheet = "sheet.toml"', "model_sheet = 1"), [("model_sheet", "1 is not a path")]),
        (("[working_days.site]", "[working_days.crew]"), [("working_days.crew", "is not a calendar")]),
        (("opened = [2027-02-06]", "opened = [2027-12-24]"), [("working_days.site", "2027-12-24 is both closed and opened")]),
        (("opened = [2027-02-06]", "opend = []"), [("working_days.site.opend", "is not known here")]),
        (("closed = [2027-12-24]", 'closed = ["Christmas"]'), [("working_days.site.closed", "is not a list of dates")]),
        (('["mon", "tue", "wed", "thu"]', '["monday"]'), [("working_days.site.weekdays", "['monday'] are not weekdays")]),
        (('["mon", "tue", "wed", "thu"]', "[]"), [("working_days.site.weekdays", "[] are not weekdays")]),
    ],
)  # fmt: skip
def test_each_fault_is_named(write, altered, found):
    assert altered[0] in JOB
    assert faults(write(JOB.replace(*altered))) == found


def test_all_faults_are_named_at_once(write):
    wrong = (
        JOB.replace('14 1/2"', "deep")
        .replace("US-VT", "US")
        .replace("Moon", "x")
        .replace("America/", "Mars/")
    )
    wrong = wrong.replace('"555-0160"', "1").replace('"thu"', '"thurs"')
    assert [key for key, _ in faults(write(wrong))] == [
        "authority.electrical.phone",
        "working_days.site.weekdays",
        "pit.depth",
        "project.zone",
    ]


def test_a_fault_of_the_data_sheet_is_named(write, tmp_path):
    (tmp_path / "sheet.toml").write_text(textwrap.dedent(SHEET).replace("14", "deep"))
    assert faults(write(JOB)) == [("lift.pit_least", '"deep"" is not a length')]
    (tmp_path / "sheet.toml").write_text("= what")
    assert [key for key, _ in faults(write(JOB))] == ["model_sheet"]


def test_a_file_that_is_no_toml_is_refused_as_such(write, tmp_path):
    assert [key for key, _ in faults(write("pit depth 14"))] == ["job.toml"]
    (tmp_path / "job.toml").write_bytes(b"\xff\xd8\xff\xe0")
    assert [key for key, _ in faults(tmp_path / "job.toml")] == ["job.toml"]


def test_a_file_that_names_no_project_is_refused(write):
    assert faults(write("")) == [("project.name", "is missing")]


@pytest.mark.parametrize(
    "path", sorted((ROOT / "fixtures" / "facts").glob("*.toml")), ids=lambda path: path.stem
)
def test_each_fixture_of_the_project_is_a_job(path):
    assert read_job(path).entries
