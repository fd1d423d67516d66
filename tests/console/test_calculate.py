"""`manage.py calculate` as its user runs it."""

import io
import json

import pytest
from django.core.management import call_command

from coordination.console.refused import Refused
from coordination.siteprep.calculations.registry import CALCULATIONS

NAMES = (
    "brackets", "backing", "hoistway_survey", "machine_room", "electrical", "concrete",
    "alarm", "hydraulics", "enclosure", "accessibility", "pit",
)  # fmt: skip


def printed(*arguments, **options):
    out = io.StringIO()
    call_command("calculate", *map(str, arguments), stdout=out, **options)
    return out.getvalue()


def refused(*arguments):
    out = io.StringIO()
    with pytest.raises(Refused) as error:
        call_command("calculate", *map(str, arguments), stdout=out)
    assert (out.getvalue(), error.value.returncode) == ("", 2)
    return error.value.faults


@pytest.fixture
def write(tmp_path):
    def write_file(content):
        path = tmp_path / "inputs.json"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return path

    return write_file


def test_a_file_and_standard_input_give_the_same_and_wrong_input_is_named(pipe_manage, write):
    given = json.dumps(
        {"pit_depth": "14 in", "travel": "10 ft", "overhead": "11' 3\"", "max_spacing": "6 ft"}
    )
    piped = pipe_manage("calculate", "brackets", "-", given=given)
    assert (piped.returncode, piped.stderr) == (0, "")
    assert piped.stdout == printed("brackets", write(given))
    # 14 in + 120 in + 135 in = 269 in; offsets of 12 in leave 245 in, in four equal spaces of at most 72 in
    told = json.loads(piped.stdout)
    assert [each["above_pit_floor"]["in"] for each in told["brackets"]] == [12, 73.25, 134.5, 195.75, 257]
    wrong = pipe_manage("calculate", "brackets", "-", given='{"pit_depth": "14 kg", "depth": 1}')
    assert (wrong.returncode, wrong.stdout) == (2, "")
    lines = wrong.stderr.splitlines()
    assert (lines[0], [line.split(":")[0].strip() for line in lines[1:]]) == (
        "Refused: standard input",
        ["depth", "pit_depth", "travel", "overhead"],
    )


@pytest.mark.parametrize("name", NAMES)
def test_every_example_can_be_calculated_and_every_input_is_explained(name, write):
    example = printed(example=name)
    assert json.loads(example) == CALCULATIONS[name].example
    result = json.loads(printed(name, write(example)))
    told = json.loads(printed(explain=name, json=True))
    assert sorted(result) == sorted(told["results"])
    words = printed(explain=name)
    missing = [each for each in (*told["inputs"], *told["results"]) if f"  {each}" not in words]
    assert missing == []
    assert told["sources"] != []
    assert all(source["document"].split()[0] in words for source in told["sources"])


def test_all_eleven_are_listed_with_what_they_do():
    assert tuple(json.loads(printed(list=True, json=True))) == NAMES
    lines = [line for line in printed(list=True).splitlines() if not line.startswith(" ")]
    assert [line.split()[0] for line in lines] == list(NAMES)
    assert min(len(line.split()) for line in lines) > 5


@pytest.mark.parametrize(
    ("content", "begin"),
    [
        ("[1, 2]", "input: is not a mapping"),
        ("{", "not JSON: Expecting property name"),
        ('{"pit_depth": NaN}', "not JSON: NaN is not a number"),
        ('{"pit_depth": 1, "pit_depth": 2}', "not JSON: pit_depth is given twice"),
        ("[" * 100_000, "not JSON: "),
        (b"\xff\xfe", "not a text in UTF-8 (byte 0)"),
    ],
)
def test_what_is_no_object_of_inputs_is_refused(write, content, begin):
    (fault,) = refused("brackets", write(content))
    assert fault.startswith(begin)


def test_an_unknown_name_and_no_name_say_what_there_is(tmp_path):
    (fault,) = refused("bracket", "-")
    assert fault == f"there is no such calculation; write one of: {', '.join(NAMES)}"
    assert (
        refused()
        == refused("brackets")
        == ("give NAME and INPUT.json, or - for standard input; --list names them",)
    )
    assert refused("brackets", tmp_path / "gone.json") == ("No such file or directory",)


def test_outside_a_printed_table_nothing_is_extrapolated(write):
    (fault,) = refused("electrical", write('{"phases": 3, "volts": 120, "horsepower": "7.5 hp"}'))
    assert fault.endswith("Nothing is extrapolated.")
