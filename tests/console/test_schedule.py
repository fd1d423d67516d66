"""`manage.py schedule` and `forecast` as their user runs them."""

import ast
import io
import json
from datetime import date, timedelta
from pathlib import Path

import pytest
from django.core.management import call_command

from coordination.console.network_words import WRONG
from coordination.console.refused import Refused
from coordination.scheduling import critical_path
from coordination.scheduling.calendars import CalendarError
from coordination.scheduling.network_json import read_network

SCHEDULING = Path(critical_path.__file__).parent
CHAIN = {
    "start": "2026-03-02",
    "tasks": [{"key": "A", "duration": 2}, {"key": "B", "duration": 3}, {"key": "C", "duration": 1}],
    "links": [{"before": "A", "after": "B", "kind": "SS", "lag": 1}, {"before": "A", "after": "C"}],
}
RING = {**CHAIN, "links": [*CHAIN["links"], {"before": "C", "after": "A"}, {"before": "B", "after": "D"}]}
SITE = {
    "start": "2026-03-02",
    "data_date": "2026-03-10",
    "calendars": {"site": {"closed": ["2026-03-13"]}},
    "tasks": [
        {"key": "pour", "duration": 3, "started": "2026-03-09", "remaining": 2},
        {
            "key": "strip",
            "estimate": {"low": 1, "likely": 2, "high": 4},
            "cause": "rain",
            "due": "2026-03-18",
        },
        {"key": "board", "duration": 1, "started": "2026-03-09"},
        {"key": "gate", "milestone": True},
    ],
    "links": [
        {"before": "pour", "after": "strip", "lag": 5, "unit": "calendar"},
        {"before": "strip", "after": "board"},
        {"before": "board", "after": "gate"},
    ],
}


@pytest.fixture
def write(tmp_path):
    def write_file(network):
        path = tmp_path / "network.json"
        path.write_text(network if isinstance(network, str) else json.dumps(network))
        return str(path)

    return write_file


def printed(command, *arguments, **options):
    out = io.StringIO()
    call_command(command, *arguments, stdout=out, **options)
    return out.getvalue()


def refused(command, *arguments):
    out = io.StringIO()
    with pytest.raises(Refused) as error:
        call_command(command, *arguments, stdout=out)
    assert (out.getvalue(), error.value.returncode) == ("", 2)
    return error.value.faults


def test_a_network_from_standard_input_and_its_faults_by_name(pipe_manage):
    answer = pipe_manage("schedule", "-", "--json", given=json.dumps(CHAIN))
    assert (answer.returncode, answer.stderr) == (0, "")
    told = json.loads(answer.stdout)
    # By hand: A 0-2; B begins one day after A, 1-4; C follows A, 2-3 and may slip to 3-4.
    assert {key: (task["early"], task["late"]) for key, task in told["tasks"].items()} == {
        "A": ([0, 2], [0, 2]),
        "B": ([1, 4], [1, 4]),
        "C": ([2, 3], [3, 4]),
    }
    assert (told["length"], told["critical_chain"]) == (4, ["A", "B"])
    wrong = pipe_manage("schedule", "-", "--json", given=json.dumps(RING))
    assert (wrong.returncode, wrong.stdout) == (2, "")
    assert wrong.stderr.splitlines() == [
        "Refused: standard input",
        "  B > D > D: the link names a task that there is not",
    ]


def test_a_ring_is_named_key_by_key(write):
    ring = {**RING, "links": RING["links"][:-1]}
    for command in ("schedule", "forecast"):
        assert refused(command, write(ring)) == ("A > C > A: these tasks wait for each other in a ring",)


def test_the_table_says_dates_floats_and_why(write):
    lines = printed("schedule", write(SITE)).splitlines()
    assert lines[0] == "2026-03-02 to 2026-03-19, 18 days"
    assert lines[1] == "Critical chain: pour > strip > board > gate"
    assert [line.split() for line in lines[4:8]] == [
        ["pour", "2026-03-09", "2026-03-11", "2026-03-09", "2026-03-11", "0", "0", "*", "begun"],
        ["strip", "2026-03-17", "2026-03-18", "2026-03-17", "2026-03-18", "0", "0", "*",
         "pour", "FS+5", "calendar", "days"],
        ["board", "2026-03-09", "2026-03-19", "2026-03-09", "2026-03-19", "0", "0", "*", "strip", "FS"],
        ["gate", "2026-03-20", "2026-03-19", "2026-03-20", "2026-03-19", "0", "0", "*", "board", "FS"],
    ]  # fmt: skip
    assert lines[-3:] == [
        "BEGUN OUT OF ORDER",
        "  board has begun, although it waits for strip FS",
        "  The planned order is kept: the rest of such work waits for what it was to follow.",
    ]
    going_on = printed("schedule", write({**SITE, "order": "override"}))
    assert "  Begun work goes on: the rest of it does not wait for what it was to follow." in going_on
    late = {
        **SITE,
        "tasks": [{**task, "due": "2026-03-17"} if "due" in task else task for task in SITE["tasks"]],
    }
    assert "  strip is 1 working day late for the due date of strip, 2026-03-17" in printed(
        "schedule", write(late)
    )


@pytest.mark.parametrize(
    ("network", "faults"),
    [
        ("{", ("not readable as JSON: Expecting property name enclosed in double quotes: line 1 column 2 (char 1)",)),
        ("[]", ("network: is not an object; wanted: {...}", "network > start: is missing", "network > tasks: is missing")),
        (
            {**CHAIN, "colour": 1, "tasks": [{"key": "A", "duration": -1}, {"key": "A", "duration": "2"}]},
            (
                "tasks 2 (A) > duration: is not what it should be; wanted: a whole number of days, at most 200000, not \"2\"",
                "network > colour: there is no such field; wanted: calendars, data_date, links, order, start, tasks",
            ),
        ),
        (
            {**CHAIN, "tasks": [{"key": "A", "duration": -1}, {"key": "A", "duration": 2}]},
            (
                "A: two tasks of this key",
                "A: the duration is no whole number of days; wanted: 0 or more",
                "A > B > B: the link names a task that there is not",
                "A > C > C: the link names a task that there is not",
            ),
        ),
    ],
)  # fmt: skip
def test_every_fault_of_a_network_is_told(write, network, faults):
    assert refused("schedule", write(network)) == faults


def test_every_kind_of_fault_has_its_sentence():
    kinds = set()
    for file in SCHEDULING.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text())):
            if not isinstance(node, ast.Call) or not node.args or not isinstance(node.args[0], ast.Constant):
                continue
            name = getattr(node.func, "id", getattr(node.func, "attr", ""))
            if name in {"Problem", "complain", CalendarError.__name__} and isinstance(
                node.args[0].value, str
            ):
                kinds.add(node.args[0].value)
    assert len(kinds) > 25
    assert kinds - set(WRONG) == set()


def test_a_forecast_is_the_same_for_the_same_seed_and_says_how_sure_it_is(write, pipe_manage):
    answer = pipe_manage("forecast", "-", "--json", "--samples", "400", "--seed", "7", given=json.dumps(SITE))
    assert (answer.returncode, answer.stderr) == (0, "")
    assert answer.stdout == printed("forecast", write(SITE), "--samples=400", "--seed=7", json=True)
    told = json.loads(answer.stdout)
    assert (told["samples"], told["seed"], list(told["milestones"])) == (400, 7, ["gate"])
    days = [date.fromisoformat(told["end"][share]["last_day"]) for share in ("P10", "P50", "P80", "P90")]
    assert days == sorted(days)
    assert [told["end"][share]["length"] for share in ("P10", "P90")] == [
        (day - date(2026, 3, 2) + timedelta(days=1)).days for day in (days[0], days[-1])
    ]
    assert told["end"]["criticality"] == {"pour": 1.0, "strip": 1.0, "board": 1.0, "gate": 1.0}
    assert list(told["end"]["swings"]) == ["strip"]
    # Without any spread, every certainty is the one date of the schedule.
    sure = {**SITE, "tasks": [{**task, "estimate": {"low": 2, "likely": 2, "high": 2}} if "estimate" in task else task for task in SITE["tasks"]]}  # fmt: skip
    told = json.loads(printed("forecast", write(sure), samples=50, json=True))
    end = critical_path.schedule(read_network(json.dumps(sure)).network).last_day
    assert {share["last_day"] for key, share in told["end"].items() if key[0] == "P"} == {end.isoformat()}


def test_a_forecast_in_words_and_arguments_that_are_none(write):
    lines = printed("forecast", write(SITE), samples=200).splitlines()
    assert lines[0].startswith("200 samples, seed ")
    assert lines[3].split() == ["P10", "P50", "P80", "P90"]
    assert [line.split()[0] for line in lines[4:6]] == ["the", "gate"]
    assert lines[8].split()[:2] == ["strip", "100%"]


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--samples", "0"], "argument --samples: '0' is not a whole number from 1 to 200000"),
        (["--samples", "many"], "argument --samples: 'many' is not a whole number from 1 to 200000"),
        (["--seed", "-1"], "argument --seed: '-1' is not a whole number from 0 to 4294967295"),
        (["--causes", "2"], "argument --causes: '2' is not a number from 0 to 1"),
        (["--shape", "square"], "argument --shape: invalid choice: 'square'"),
    ],
)
def test_wrong_arguments_are_named(write, arguments, told):
    with pytest.raises(Exception, match=told.split(":")[0]) as error:
        call_command("forecast", write(SITE), *arguments)
    assert told in str(error.value)
