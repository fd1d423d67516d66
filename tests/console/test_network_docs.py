"""What the documentation of networks shows is what the commands print, and its schema names what they read."""

import json
import re
from pathlib import Path

import pytest

from coordination.scheduling.network import NetworkError
from coordination.scheduling.network_json import WEEKDAYS, read_network
from tests.console.test_schedule import printed

DOCS = Path(__file__).resolve().parents[2] / "docs"
TEXT = (DOCS / "networks.md").read_text()
SCHEMA = json.loads((DOCS / "network.schema.json").read_text())
NETWORKS = dict(re.findall(r"^`(\w+\.json)`:.*?\n```json\n(.*?)```", TEXT, re.DOTALL | re.MULTILINE))
RUNS = re.findall(
    r"^```console\n\$ python manage\.py (\w+) (\w+\.json)(.*?)\n(.*?)\n```", TEXT, re.DOTALL | re.MULTILINE
)


def test_there_are_two_examples_and_three_runs():
    assert (sorted(NETWORKS), [run[:3] for run in RUNS]) == (
        ["one.json", "two.json"],
        [
            ("schedule", "one.json", ""),
            ("schedule", "two.json", ""),
            ("forecast", "two.json", " --samples 2000"),
        ],
    )


@pytest.mark.parametrize(
    ("command", "name", "options", "shown"), RUNS, ids=[" ".join(run[:2]) for run in RUNS]
)
def test_every_run_prints_what_is_shown(tmp_path, command, name, options, shown):
    path = tmp_path / name
    path.write_text(NETWORKS[name])
    text = printed(command, str(path), *options.split())
    assert [line.rstrip() for line in text.rstrip().splitlines()] == [
        line.rstrip() for line in shown.splitlines()
    ]


def test_the_task_shown_as_json_is_the_one_printed(tmp_path):
    path = tmp_path / "two.json"
    path.write_text(NETWORKS["two.json"])
    [shown] = [json.loads(text) for text in re.findall(r"```json\n(\{\"rails.*?)\n```", TEXT)]
    tasks = json.loads(printed("schedule", str(path), "--json"))["tasks"]
    assert shown == {"rails": tasks["rails"]}


def test_every_field_of_the_answers_is_explained(tmp_path):
    path = tmp_path / "two.json"
    path.write_text(NETWORKS["two.json"])
    answer = json.loads(printed("schedule", str(path), "--json"))
    fields = {*answer, *answer["tasks"]["rails"]} - {"late_start", "late_last_day", "late_boundary"}
    assert {field for field in fields if f"`{field}`" not in TEXT} == set()
    told = json.loads(printed("forecast", str(path), "--samples", "100", "--json"))
    fields = {*told, *told["end"], *told["end"]["P80"]}
    assert {field for field in fields if f"`{field}`" not in TEXT} == set()


def fields_read(network: dict) -> set[str]:
    """The fields that the reader knows, as it says when it meets one that it does not."""
    with pytest.raises(NetworkError) as refused:
        read_network(json.dumps(network))
    [problem] = [each for each in refused.value.problems if each.kind == "unknown field"]
    return set(problem.wanted.split(", "))


PLAIN = {"start": "2026-03-02", "tasks": [{"key": "A", "duration": 1}, {"key": "B", "duration": 1}]}


@pytest.mark.parametrize(
    ("described", "network"),
    [
        (SCHEMA, {**PLAIN, "colour": 1}),
        (SCHEMA["$defs"]["task"], {**PLAIN, "tasks": [{"key": "A", "duration": 1, "colour": 1}]}),
        (SCHEMA["$defs"]["link"], {**PLAIN, "links": [{"before": "A", "after": "B", "colour": 1}]}),
        (SCHEMA["$defs"]["calendar"], {**PLAIN, "calendars": {"c": {"colour": 1}}}),
    ],
    ids=["network", "task", "link", "calendar"],
)
def test_the_schema_names_the_fields_that_are_read(described, network):
    assert set(described["properties"]) == fields_read(network)
    assert all(f"`{field}`" in TEXT for field in described["properties"])


@pytest.mark.parametrize("kind", SCHEMA["$defs"]["link"]["properties"]["kind"]["enum"])
@pytest.mark.parametrize("unit", SCHEMA["$defs"]["link"]["properties"]["unit"]["enum"])
@pytest.mark.parametrize("order", SCHEMA["properties"]["order"]["enum"])
def test_every_word_of_the_schema_is_taken(kind, unit, order):
    links = [{"before": "A", "after": "B", "kind": kind, "unit": unit, "lag": 1}]
    read_network(json.dumps({**PLAIN, "order": order, "links": links}))


def test_weekdays_are_taken_whole_short_and_in_any_case():
    for names in (WEEKDAYS[:5], [name[:3] for name in WEEKDAYS[:5]], [name.title() for name in WEEKDAYS[:5]]):
        calendars = {"site": {"weekdays": list(names)}}
        document = read_network(json.dumps({**PLAIN, "calendars": calendars}))
        assert document.network.calendars["site"].weekdays == frozenset(range(5))
