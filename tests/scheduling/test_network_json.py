"""Networks read from JSON: the two documented examples, and every fault by name."""

import contextlib
import json
import re
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coordination.scheduling import network_json
from coordination.scheduling.critical_path import schedule
from coordination.scheduling.estimates import Estimate
from coordination.scheduling.forecast import Settings, forecast
from coordination.scheduling.levelling.level import level
from coordination.scheduling.levelling.sm_format import DAY_0, read_sm
from coordination.scheduling.network import Link, NetworkError, Task
from coordination.scheduling.network_json import read_network
from coordination.scheduling.results_json import forecast_as_json, levelled_sm_as_json, schedule_as_json
from tests.scheduling.levelling.small_problems import SM

ROOT = Path(__file__).resolve().parents[2]


def documented_examples():
    """The indented objects of the module's own documentation."""
    return re.findall(r"^    \{.*?\n\n", network_json.__doc__, re.DOTALL | re.MULTILINE)


def test_the_first_documented_example_counts_plain_days():
    first, _ = documented_examples()
    answer = schedule_as_json(schedule(read_network(first).network))
    assert (answer["end"], answer["last_day"], answer["length"], answer["critical_chain"]) == (
        "2026-03-06",
        "2026-03-05",
        4,
        ["A", "B"],
    )
    assert answer["tasks"]["B"] == {
        "early": [1, 4],
        "late": [1, 4],
        "early_start": "2026-03-03",
        "early_last_day": "2026-03-05",
        "early_boundary": "2026-03-06",
        "late_start": "2026-03-03",
        "late_last_day": "2026-03-05",
        "late_boundary": "2026-03-06",
        "resumes": None,
        "total_float": 0,
        "free_float": 0,
        "critical": True,
        "because": "link",
        "driver": {"before": "A", "after": "B", "kind": "SS", "lag": 1, "unit": "working", "calendar": None},
        "due_of": None,
    }
    assert json.loads(json.dumps(answer)) == answer


def test_the_second_documented_example_has_calendars_progress_and_estimates():
    _, second = documented_examples()
    document = read_network(second)
    pour, strip, gate = document.network.tasks
    assert pour == Task("pour", 3, "site", started=date(2026, 3, 9), remaining=2)
    assert strip == Task("strip", 2, "site", not_before=date(2026, 3, 12), due=date(2026, 3, 27))
    assert gate == Task("gate", 0, "site", milestone=True)
    assert document.network.links == (
        Link("pour", "strip", "FS", 5, "calendar"),
        Link("strip", "gate", "FS", 1, "working", "site"),
    )
    assert (document.estimates, document.causes) == ({"strip": Estimate(1, 2, 4)}, {"strip": "rain"})
    site = document.network.calendars["site"]
    assert sorted(site.closed)[:2] == [date(2026, 5, 25), date(2026, 12, 24)]
    assert (len(site.closed), site.opened) == (10, frozenset({date(2026, 3, 14)}))
    answer = schedule(document.network)
    assert answer.tasks["strip"].early_start == date(2026, 3, 17)


def test_a_forecast_of_the_second_example_is_told_by_gate():
    document = read_network(documented_examples()[1])
    found = forecast(document.network, document.estimates, document.causes, Settings(samples=200, seed=3))
    told = forecast_as_json(found, ["gate"])
    assert (told["samples"], told["seed"], list(told["tasks"]["gate"])) == (
        200,
        3,
        ["P10", "P50", "P80", "P90"],
    )
    assert told["tasks"]["gate"]["P50"]["last_day"] == "2026-03-19"
    assert told["driving"] == {"pour": 1.0, "strip": 1.0, "gate": 1.0}
    assert list(told["swings"]) == ["strip"]
    assert json.loads(json.dumps(told)) == told


def test_an_sm_answer_has_its_length_its_bound_and_the_start_of_each_job():
    told = levelled_sm_as_json(level(read_sm(SM), lambda: True, moves=5), DAY_0)
    assert (told["makespan"], told["bound"]) == (7, 5)
    assert sorted(told["starts"].items()) == [
        ("1", 0),
        ("2", told["starts"]["2"]),
        ("3", told["starts"]["3"]),
        ("4", 7),
    ]


GOOD = {"start": "2026-03-02", "tasks": [{"key": "A", "duration": 2}]}


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"start": None}, "missing: network > start"),
        (
            {"start": "tomorrow"},
            'wrong value: network > start (wanted: a day such as 2026-03-02, not "tomorrow")',
        ),
        ({"tasks": "A"}, 'wrong value: network > tasks (wanted: [...], not "A")'),
        ({"tasks": ["A"]}, "not an object: tasks 1 (wanted: {...})"),
        ({"tasks": [{"key": "A"}]}, "missing: tasks 1 (A) > duration"),
        ({"tasks": [{"duration": 1}]}, "missing: tasks 1 > key"),
        (
            {"tasks": [{"key": "A", "duration": 1.5}]},
            "wrong value: tasks 1 (A) > duration (wanted: a whole number of days, at most 200000, not 1.5)",
        ),
        (
            {"tasks": [{"key": "A", "duration": 1, "length": 2}]},
            "unknown field: tasks 1 (A) > length (wanted: calendar, cause, due, duration, estimate, ",
        ),
        (
            {"tasks": [{"key": "A", "estimate": {"low": 3, "likely": 2, "high": 4}}]},
            "wrong value: tasks 1 (A) > estimate (wanted: low <= likely <= high, none negative, not ",
        ),
        (
            {"calendars": {"c": {"weekdays": ["month"]}}},
            "wrong value: calendars c > weekdays (wanted: some of monday, ",
        ),
        ({"calendars": {"c": {"weekdays": []}}}, "no working day: calendars c"),
        ({"calendars": {"c": {}, "d": {}}}, "missing: tasks 1 (A) > calendar"),
        ({"links": [{"before": "A", "after": "X"}]}, "link to an unknown task: A > X > X"),
        ({"links": [{"before": "A", "after": "A"}]}, "link to itself: A > A"),
        ({"order": "any"}, "unknown order: any (wanted: retained or override)"),
        (
            {"tasks": [{"key": "A", "duration": 200000}]},
            "takes longer than can be counted: network (wanted: at most 200000 days)",
        ),
    ],
)
def test_every_fault_names_the_entry_and_what_would_be_right(change, message):
    with pytest.raises(NetworkError) as refusal:
        read_network(json.dumps({**GOOD, **change}))
    assert str(refusal.value).startswith(message)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "not readable as JSON"),
        ("[]", "not an object: network"),
        ('{"start": "2026-03-02", "start": "2026-03-03", "tasks": []}', "field used twice: start"),
        (b"\xff\xfe\x00", "not readable as JSON"),
        ("[" * 100_000, "not readable as JSON"),
    ],
)
def test_what_is_no_network_at_all_is_refused(text, message):
    with pytest.raises(NetworkError) as refusal:
        read_network(text)
    assert str(refusal.value).startswith(message)


def test_calendars_reach_as_far_as_late_dates_can_go():
    tasks = [{"key": key, "duration": 600} for key in "abcd"]
    tasks[3]["due"] = "2026-03-03"
    links = [{"before": a, "after": b} for a, b in ("ab", "bc", "cd")]
    content = {
        "start": "2026-03-02",
        "calendars": {"one day": {"weekdays": ["friday"]}},
        "tasks": tasks,
        "links": links,
    }
    answer = schedule(read_network(json.dumps(content)).network)
    assert answer.tasks["a"].total_float == -2400


values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-3, 10**7)
    | st.floats()
    | st.text(max_size=5)
    | st.sampled_from(["A", "2026-03-02"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["key", "duration", "start", "x"]), inner)
    ),
    max_leaves=8,
)


@settings(deadline=None)
@given(st.sampled_from(["start", "tasks", "links", "calendars", "order", "data_date"]), values)
def test_no_value_whatever_breaks_the_reader(field, value):
    with contextlib.suppress(NetworkError):
        schedule(read_network(json.dumps({**GOOD, field: value})).network)


def test_the_core_starts_without_numpy_and_without_the_solver():
    code = (
        "import sys, coordination.scheduling.results_json, coordination.scheduling.network_json, "
        "coordination.scheduling.levelling.level; "
        "sys.exit(' '.join({'numpy', 'ortools', 'scipy', 'django'} & set(sys.modules)) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=ROOT)
    assert (done.returncode, done.stderr) == (0, "")
