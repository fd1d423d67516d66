"""`manage.py plan` as its user runs it: a plan in words or JSON, or every fault by name and nothing else."""

import io
import os
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest
from django.core.management import call_command

from coordination.console.refused import Refused
from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import load_facts
from coordination.siteprep.plan import derive, plan_from_json

ROOT = Path(__file__).resolve().parents[2]
FACTS = ROOT / "fixtures" / "facts"
ROPEWALK = FACTS / "ropewalk.toml"
SHEET = """
    [sheet]
    model = "Ferry 45"
    document = "planning sheet"
    revision = "C"
    [lift]
    pit_least = '14"'
    """


def planned(path):
    return derive(load_facts(path), load_catalogue())


def printed(*arguments, **options):
    out = io.StringIO()
    call_command("plan", *map(str, arguments), stdout=out, **options)
    return out.getvalue()


def refused(*arguments):
    out = io.StringIO()
    with pytest.raises(Refused) as error:
        call_command("plan", *map(str, arguments), stdout=out)
    assert (out.getvalue(), error.value.returncode) == ("", 2)
    return error.value.faults


@pytest.fixture
def write(tmp_path):
    def write_file(text, name="facts.toml"):
        path = tmp_path / name
        path.write_text(textwrap.dedent(text), encoding="utf-8")
        return path

    write_file(SHEET, "sheet.toml")
    return write_file


def test_the_json_of_the_command_is_the_derived_plan(run_manage, tmp_path):
    answer = run_manage("plan", str(ROPEWALK), "--json", var=tmp_path)
    assert (answer.returncode, answer.stderr) == (0, "")
    assert answer.stdout == planned(ROPEWALK).as_json() + "\n"
    assert plan_from_json(answer.stdout) == planned(ROPEWALK)


def test_all_faults_come_at_once_on_stderr_with_code_2(run_manage, tmp_path, write):
    path = write(
        """
        model_sheet = "sheet.toml"
        [pit]
        depth = "14"
        colour = "grey"
        [hoistway]
        overhead = "11 kg"
        rating = 7
        [power]
        phases = "single"
        volts = 460
        """
    )
    answer = run_manage("plan", str(path), "--json", var=tmp_path)
    assert (answer.returncode, answer.stdout) == (2, "")
    assert answer.stderr.splitlines() == [
        f"Refused: {path}",
        '  hoistway.overhead: "11 kg" is not a length; write 9\' 4 1/2", 14" or 2857 mm',
        '  hoistway.rating: "7" is not one of the answers; write one of: 0, 1, 2',
        '  pit.depth: "14" has no unit; write 14" or 14 mm',
        (
            "  power.volts: single-phase motors are not listed at 460 V; write 200, 208 or 230 V, or "
            "call the supply three-phase (NEC Table 430.248)"
        ),
        "  pit.colour: there is no such fact; did you mean pit.ground?",
    ]


def test_a_reader_that_has_seen_enough_is_no_fault(tmp_path):
    gone, out = os.pipe()
    os.close(gone)  # as a pager does that was left
    ended = subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), "plan", str(ROPEWALK)],
        env={**os.environ, "SILL_VAR": str(tmp_path / "var")},
        stdout=out,
        stderr=subprocess.PIPE,
        text=True,
        timeout=120,
        check=False,
    )
    os.close(out)
    assert (ended.returncode, ended.stderr) == (0, "")


def test_the_printed_plan_says_everything_that_the_plan_holds():
    plan, text = planned(ROPEWALK), printed(ROPEWALK)
    joined = " ".join(text.split())
    said = [
        *(package.text["en"].upper() for package in plan.packages),
        *(f"[{task.key}]" for task in plan.tasks),
        *(task.first_line["en"] for task in plan.tasks),
        *(each.text["en"] for task in plan.tasks for each in task.requirements),
        *(each.stand["en"] for task in plan.tasks for each in task.requirements if each.stand),
        *(link.receiver_note["en"] for link in plan.handoffs),
        *(f"[{gate.key}]" for gate in plan.gates),
        *(question.text["en"] for question in plan.questions),
        *(question.safe_default["en"] for question in plan.questions if question.safe_default),
        *(f"[{each.key}]" for each in plan.quantities),
        *(finding.text["en"] for finding in plan.findings),
    ]
    assert [each for each in said if " ".join(each.split()) not in joined] == []
    assert text.count("CAUTION:") == sum(len(each.cautions) for each in (*plan.tasks, *plan.gates))
    assert text.count("released only by") == sum(
        each.release is not None for task in plan.tasks for each in task.requirements
    )
    assert max(map(len, text.splitlines())) <= 100


def test_one_task_and_one_gate_word_for_word():
    lines = printed(ROPEWALK).splitlines()
    begin = (
        "  Set the finished-floor benchmark and door centreline (Landing 1 (Rope hall)) [benchmark@landing-1]"
    )
    first = lines.index(begin)
    assert lines[first + 1 : first + 4] == [
        "    general contractor; 1 working day (P10 1, P90 1; calendar of the site)",
        '    Landing 1 (Rope hall): finished floor 20\' 0", bare floor 1/4" below it, door centreline; signed',
        "        on the wall",
    ]
    joined = " ".join(" ".join(lines).split())
    assert (
        "Reading: Elevation of the benchmark as finished floor [19' 11 7/8\" to 20' 0 1/8\", nominal 20' 0\"] "
        "Stand: Instrument set up on the landing, staff on the mark; not at the edge "
        "elevator-critical; accepted by elevator coordinator, deputy elevator crew, within 4 working hours; "
        "concession by elevator coordinator and general contractor "
        "Source: common practice, no source, fit of openings, marks and frames; common practice; "
        "confirm with elevator coordinator"
    ) in joined
    assert "Decides: elevator authority Until then: Form the sump recess in the pour" in joined
    assert "Hides, so this must be accepted first" in joined
    gate = lines.index("  Drawing approved and permits in hand [drawing-and-permit]")
    assert lines[gate + 1] == "    accepted: Approve one revision of the drawing (Whole site)"


def test_a_job_file_is_read_like_a_file_of_facts(write):
    job = write(
        """
        [project]
        name = "Harrow Lane"
        zone = "America/New_York"
        [pit]
        depth = '14"'
        [authority.electrical]
        phone = "555-0160"
        [working_days.site]
        closed = [2027-12-24]
        """
    )
    assert plan_from_json(printed(job, json=True)) == planned(write("[pit]\ndepth = '14\"'", "bare.toml"))
    assert printed(job, check=True).startswith("Every fact can be used: 1 known, 0 assumed, ")
    wrong = write(
        """
        model_sheet = "sheet.toml"
        [project]
        zone = "Atlantis"
        [pit]
        depth = "deep"
        [authority.electrical]
        phone = 5
        [working_days.moon]
        closed = []
        """
    )
    assert [fault.partition(":")[0] for fault in refused(wrong)] == [
        "pit.depth", "authority.electrical.phone", "working_days.moon", "project.zone",
    ]  # fmt: skip


def test_a_wrong_data_sheet_is_told_beside_the_faults_of_the_file(write, tmp_path):
    write(SHEET + "    width = 3\n    [pit]\n    depth = '14\"'\n", "odd.toml")
    assert refused(write('model_sheet = "odd.toml"\n[pit]\ndepth = "14"\n')) == (
        "model_sheet odd.toml: lift.width: there is no such fact; did you mean lift.pit_least?",
        (
            "model_sheet odd.toml: pit.depth: this is a fact of the site, not a figure of the model; "
            "state it among the facts of the job"
        ),
        'pit.depth: "14" has no unit; write 14" or 14 mm',
    )
    (tmp_path / "latin.toml").write_bytes(b"[sheet]\nmodel = '\xe9'\n")
    right = "write the path of a data sheet in TOML 1.0, as seen from this file"
    assert refused(write('model_sheet = "gone.toml"')) == (
        f"model_sheet: there is no file gone.toml; {right}",
    )
    assert refused(write("model_sheet = 7")) == (f"model_sheet: 7 is not a path; {right}",)
    for unreadable in ("latin.toml", "nul\\u0000.toml"):
        (fault,) = refused(write(f'model_sheet = "{unreadable}"'))
        assert fault.startswith("model_sheet: '")


@pytest.mark.parametrize(
    ("content", "fault"),
    [
        (b"landings = [", "not TOML 1.0: Invalid value (at end of document)"),
        (b"a = " + b"[" * 3000, "not TOML 1.0: "),
        (b"\xff\xd8\xff\xe0 a photo", "not a text in UTF-8 (byte 0)"),
        (b"#" * 20_000_001, "larger than 20000000 bytes"),
    ],
)
def test_what_is_no_toml_is_refused(tmp_path, content, fault):
    path = tmp_path / "facts.toml"
    path.write_bytes(content)
    (told,) = refused(path)
    assert told.startswith(fault)


def test_a_missing_file_and_a_folder_are_named(tmp_path):
    assert refused(tmp_path / "gone.toml") == ("No such file or directory",)
    assert refused(tmp_path) == ("Is a directory",)


def test_rules_from_outside_are_checked_by_file_entry_and_key(write):
    rules = write("[[task]]\nentry = 'own'\n", "rules.toml")
    (fault,) = refused(ROPEWALK, "--rules", rules)
    assert fault.startswith("task own: ")


def test_the_other_language_and_the_other_code_set(write):
    metric = write('[job]\ncode_set = "en"\nunits = "metric"\n[pit]\ndepth = "400 mm"\n')
    assert "lift maker's drawing" in " ".join(printed(metric).split())
    assert "Fosa" in printed(ROPEWALK, language="es")
