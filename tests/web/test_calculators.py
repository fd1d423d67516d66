"""Calculators at the screens: every field has words, every example runs, what is wrong is said at its field."""

import ast
import dataclasses
import hashlib
import io
import json
import re
import typing
import uuid
from collections.abc import Callable, Iterator
from dataclasses import replace
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from django.http import QueryDict
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from coordination.evidence.models import Design, Evidence
from coordination.files.keeping import path_of
from coordination.record.models import Event
from coordination.siteprep.calculations.inputs import specs
from coordination.siteprep.calculations.registry import CALCULATIONS
from coordination.siteprep.plan_parts import Requirement
from coordination.siteprep.sources import Source
from coordination.web.forms.calculations import CalculationForm, Part, typed_from, typed_from_given
from coordination.web.shapes.calculated import calculated
from coordination.web.shapes.calculation_result_words import FINDINGS, OUTCOMES, RESULTS, UNITS
from coordination.web.shapes.calculation_words import CAUTIONS, CHOICES, FIELDS, LIMITS, TITLES
from tests.gates.sites import JOB, Site, build
from tests.web.sites import browser
from tests.web.worked_site import NOW

NAMES = sorted(CALCULATIONS)
FOLDER = Path(__file__).resolve().parents[2] / "coordination" / "siteprep" / "calculations"
CHECKS = {"Finding": 0, "at_least": 0, "at_most": 0, "holds": 0, "_finding": 0}
# Sizes, grades, editions: the same in every language.
AS_THEY_ARE = re.compile(r"\d|^(US|EN|LVL)$")


def paths(cls: Any, before: str = "") -> Iterator[str]:
    for name, spec, _default in specs(cls):
        yield before + name
        if spec.of is not None:
            yield from paths(spec.of, f"{before}{name}.")


def choices(cls: Any) -> Iterator[str]:
    for _name, spec, _default in specs(cls):
        yield from spec.choices
        if spec.of is not None:
            yield from choices(spec.of)


def results(cls: Any, before: str = "") -> Iterator[str]:
    """Names of everything a result holds, as far as it is written in tables of its own."""
    hints = typing.get_type_hints(cls)
    for item in dataclasses.fields(cls):
        if item.name == "findings":
            continue
        yield before + item.name
        for kind in (hints[item.name], *typing.get_args(hints[item.name])):
            if (
                dataclasses.is_dataclass(kind)
                and kind.__module__.startswith("coordination.siteprep.calculations.")
                and kind.__name__ not in {"Value", "Rectangle", "Swing", "Piece"}
            ):
                yield from results(kind, f"{before}{item.name}.")


def finding_keys() -> set[str]:
    """Every finding that the code names."""
    found = set()
    for path in FOLDER.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            called = getattr(getattr(node, "func", None), "id", "")
            first = node.args[0] if isinstance(node, ast.Call) and node.args else None
            if called in CHECKS and isinstance(first, ast.Constant) and isinstance(first.value, str):
                found.add(first.value)
    return found


@pytest.mark.parametrize("name", NAMES)
def test_every_field_has_a_label_and_a_meaning(name: str) -> None:
    assert sorted(FIELDS[name]) == sorted(paths(CALCULATIONS[name].inputs))
    assert [words for words in FIELDS[name].values() if not all(map(str, words))] == []


@pytest.mark.parametrize("name", NAMES)
def test_every_result_has_words(name: str) -> None:
    wanted = [path for path in results(CALCULATIONS[name].result) if not path.endswith(".source")]
    assert [path for path in wanted if path not in RESULTS[name]] == []


def test_every_calculation_has_title_limits_and_cautions() -> None:
    assert [sorted(table) for table in (TITLES, LIMITS, CAUTIONS, FIELDS, RESULTS)] == [NAMES] * 5


def test_every_finding_has_words() -> None:
    keys = finding_keys()
    assert len(keys) > 90
    assert keys - FINDINGS.keys() == set()


def test_every_choice_has_words_or_is_a_size() -> None:
    every = {choice for name in NAMES for choice in choices(CALCULATIONS[name].inputs)}
    assert {c for c in every - CHOICES.keys() if not AS_THEY_ARE.search(c)} == {"Nurse-Saul"} - CHOICES.keys()


def example(name: str) -> CalculationForm:
    calculation = CALCULATIONS[name]
    return CalculationForm(calculation, typed_from_given(calculation, calculation.example), "us")


def posted(form: CalculationForm) -> dict[str, Any]:
    """What a browser sends of the form."""
    sent: dict[str, Any] = {"length_unit": form.length_unit}
    for part in form:
        sent |= dict(of_part(part))
    return sent


def of_part(part: Part) -> Iterator[tuple[str, Any]]:
    if part.may_be_none and part.ticked:
        yield f"{part.name}:{'there' if part.kind == 'group' else 'none'}", "yes"
    if part.kind == "rows":
        yield f"{part.name}:rows", str(len(part.rows))
    elif part.kind == "ticks":
        yield part.name, [value for value, _words, chosen in part.choices if chosen]
    elif part.kind == "choice":
        yield part.name, next(value for value, _words, chosen in part.choices if chosen)
    elif part.kind not in {"group", "row"}:
        yield part.name, part.value


@pytest.mark.parametrize("name", NAMES)
def test_the_example_comes_through_the_form_as_it_is(name: str) -> None:
    calculation, form = CALCULATIONS[name], example(name)
    sent = QueryDict(mutable=True)
    for key, value in posted(form).items():
        sent.setlist(key, value if isinstance(value, list) else [value])
    again = CalculationForm(calculation, typed_from(calculation, sent), "us")
    assert calculation.run(again.given()) == calculation.run(calculation.example)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("code_set", ["us", "en"])
def test_every_value_of_the_example_is_written_with_unit_and_source(name: str, code_set: str) -> None:
    calculation = CALCULATIONS[name]
    form = CalculationForm(calculation, typed_from_given(calculation, calculation.example), code_set)
    found = calculated(form).shown
    text = json.dumps([table["rows"] for table in found.every()], ensure_ascii=False)
    assert "{" not in re.sub(r'\{"', "", text)
    assert found.values is not None
    assert found.summary


@pytest.mark.parametrize("name", NAMES)
def test_the_page_calculates_its_example(signed_in: Callable[[str], Client], name: str) -> None:
    client, page = signed_in("framer"), reverse("calculator", args=[name])
    assert client.get(page + "?example").status_code == 200
    answer = client.post(page, posted(example(name)))
    assert (answer.status_code, answer.context["form"].errors) == (200, [])
    assert "Values" in answer.content.decode()


def says(answer: Any) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>|\s+", " ", answer.content.decode())).split())


def test_the_motor_of_the_example(signed_in: Callable[[str], Client]) -> None:
    text = says(
        signed_in("contractor").post(
            reverse("calculator", args=["electrical"]), posted(example("electrical"))
        )
    )
    assert "Full-load amps 28 A NEC (NFPA 70), table 430.248 (code value)" in text
    assert "Voltage drop met 2.415 % at most 3 %" in text
    assert "confirm with the electrical authority" in text


def test_an_empty_form_says_what_is_needed_at_each_field(signed_in: Callable[[str], Client]) -> None:
    answer = signed_in("contractor").post(reverse("calculator", args=["brackets"]), {})
    wrong = {part.name: part.errors for part in answer.context["form"] if part.errors}
    assert (answer.status_code, wrong) == (
        422,
        {name: ["This is needed."] for name in ("pit_depth", "travel", "overhead")},
    )


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("pit_depth", "deep", "This is no length with a unit. Write it like 9' 4 1/2\", 14 in or 2857 mm."),
        ("pit_depth", "30 ft", "It must be at most 20' 0\"."),
        ("max_spacing", "3 in", 'It must be 6" to 16\' 0".'),
        (
            "keep_clear.0.top",
            "soon",
            "This is no length with a unit. Write it like 9' 4 1/2\", 14 in or 2857 mm.",
        ),
        ("keep_clear.0.top", "8 ft", "Is not above bottom; give the upper end of the zone."),
        ("lift_class", "rocket", "Choose one of the list."),
    ],
)
def test_what_is_wrong_stands_at_its_field(
    signed_in: Callable[[str], Client], field: str, typed: str, said: str
) -> None:
    sent = {**posted(example("brackets")), field: typed}
    answer = signed_in("contractor").post(reverse("calculator", args=["brackets"]), sent)
    wrong = {part.name: part.errors for part in answer.context["form"] if part.errors}
    assert (answer.status_code, wrong) == (422, {field: [said]})
    kept = "" if field == "lift_class" else f'value="{typed}"'
    assert kept in unescape(answer.content.decode())


def test_outside_a_table_nothing_is_extrapolated(signed_in: Callable[[str], Client]) -> None:
    sent = {**posted(example("electrical")), "horsepower": "700 hp"}
    answer = signed_in("contractor").post(reverse("calculator", args=["electrical"]), sent)
    assert answer.status_code == 422
    assert "Nothing is extrapolated." in says(answer)


def test_rows_are_added_and_removed_without_losing_what_was_typed(signed_in: Callable[[str], Client]) -> None:
    client, page = signed_in("contractor"), reverse("calculator", args=["enclosure"])
    sent = posted(example("enclosure"))
    more = client.post(page, {**sent, "add": "faces.1.openings"}).context["form"]
    openings = next(part for part in more if part.name == "faces.1.openings")
    assert [row.parts[0].value for row in openings.rows] == ["door", ""]
    fewer = client.post(page, {**sent, "drop": "faces.0"}).context["form"]
    faces = next(part for part in fewer if part.name == "faces")
    assert [row.parts[0].value for row in faces.rows] == ["landing 1 wall, lobby side"]
    for nonsense in ("faces.9.openings", "storeys", "", "faces.x", "nothing.0"):
        assert client.post(page, {**sent, "add": nonsense, "drop": nonsense}).status_code == 200


def test_a_list_that_may_be_unknown_is_not_taken_for_none() -> None:
    calculation = CALCULATIONS["machine_room"]
    typed = typed_from_given(calculation, calculation.example)
    assert CalculationForm(calculation, typed, "us").given()["foreign_items"] == []
    del typed["foreign_items:none"]
    assert "foreign_items" not in CalculationForm(calculation, typed, "us").given()


def test_drawings_stand_where_there_are_any(signed_in: Callable[[str], Client]) -> None:
    client = signed_in("contractor")
    for name, number in (("machine_room", 1), ("alarm", 1), ("pit", 0)):
        answer = client.post(reverse("calculator", args=[name]), posted(example(name)))
        assert len(answer.context["found"].pictures) == number
        assert answer.content.decode().count('class="drawing-area"') == number


def test_a_room_that_fails_shows_another_placement(signed_in: Callable[[str], Client]) -> None:
    sent = {**posted(example("machine_room")), "equipment.2.x": "40 in", "equipment.2.y": "40 in"}
    answer = signed_in("contractor").post(reverse("calculator", args=["machine_room"]), sent)
    assert [picture.caption for picture in answer.context["found"].pictures] == [
        "As given, to scale",
        "Another placement, to scale",
    ]


@pytest.mark.parametrize("name", ["index", "nonsense"])
def test_a_calculation_that_is_not_there(signed_in: Callable[[str], Client], name: str) -> None:
    assert signed_in("contractor").get(f"/calculators/{name}").status_code == 404


def test_everybody_with_an_account_may_calculate_and_nobody_else(
    signed_in: Callable[[str], Client], came_by_link: Callable[[str], Client]
) -> None:
    for name in ("coordinator", "framer", "owner", "stranger"):
        assert signed_in(name).get(reverse("calculators")).status_code == 200
    for client in (Client(), came_by_link("framer")):
        assert client.get(reverse("calculators")).status_code == 302
        assert client.post(reverse("calculator", args=["pit"]), {}).status_code == 302


def test_our_own_findings_never_claim_more_than_was_checked() -> None:
    words = [str(text).lower() for table in (FINDINGS, OUTCOMES, UNITS, LIMITS) for text in table.values()]
    assert [text for text in words if re.search(r"compl(y|ies)|approved by|certif|verdict", text)] == []


@pytest.fixture
def designing(db: Any, monkeypatch: pytest.MonkeyPatch) -> Site:
    """The small job, with a paper asked of the backing, which the framer has begun."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    site = build()
    needed = Requirement(
        "backing@rail-wall",
        "design",
        "document",
        {"en": "Calculation of the backing"},
        Source("this job", "", "drawing"),
        accepts="coordinator",
    )
    tasks = tuple(
        replace(task, requirements=(*task.requirements, needed)) if task.key == needed.task else task
        for task in JOB.tasks
    )
    site.accept(replace(JOB, tasks=tasks))
    site.start("backing@rail-wall", "framer")
    return site


def hand_in_page(site: Site, name: str = "backing") -> str:
    return reverse("calculator-hand-in", args=[name, site.project.uid])


def test_a_result_is_handed_in_as_a_paper_once(designing: Site) -> None:
    client, page = browser(designing)("coordinator"), hand_in_page(designing)
    given = json.dumps(CALCULATIONS["backing"].example)
    choosing = client.post(page, {"given": given})
    [need] = choosing.context["needs"]
    assert need.words.endswith("Calculation of the backing")
    sent = {
        "given": given,
        "key": str(uuid.uuid4()),
        "requirement": need.value,
        "source": "drawing 4, revision B",
        "note": "two lines",
    }
    for _press in range(2):
        answer = client.post(page, sent)
        assert (answer.status_code, answer.url) == (
            302,
            reverse("task", args=[designing.project.uid, need.task]),
        )
    [row] = Evidence.objects.filter(requirement__uid=need.requirement)
    assert (row.entry_source, row.note, row.file_name[:8]) == (
        "drawing 4, revision B",
        "two lines",
        "backing-",
    )
    reader = PdfReader(path_of(row.blob))
    text = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    assert len(reader.pages) == 1, text
    for words in (
        "Calculation: Backing and lags",
        "Ida Marsh, coordinator",
        "drawing 4, revision B",
        "Lags against the pull",
        "3496 lb",
        "NDS, 12.2.1",
        "from memory",
        "Nobody works above people",
        "2x6",
    ):
        assert words in text
    assert Event.objects.filter(verb="evidence handed in").count() == 1


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"requirement": ""}, "Choose the paper that is asked for, or a task"),
        ({"requirement": f"{uuid.uuid4()}:abc"}, "Select a valid choice"),
        ({"source": ""}, "Say where the inputs came from"),
    ],
)
def test_what_is_missing_is_said_and_nothing_is_made(
    designing: Site, change: dict[str, str], said: str
) -> None:
    client, page = browser(designing)("coordinator"), hand_in_page(designing)
    given = json.dumps(CALCULATIONS["backing"].example)
    [need] = client.post(page, {"given": given}).context["needs"]
    sent = {"given": given, "key": str(uuid.uuid4()), "requirement": need.value, "source": "a call", **change}
    answer = client.post(page, sent)
    assert (answer.status_code, said in says(answer), Evidence.objects.count()) == (422, True, 0)


def test_a_result_is_kept_beside_a_task_that_asks_for_no_paper(designing: Site) -> None:
    client, page = browser(designing)("coordinator"), hand_in_page(designing, "electrical")
    given = json.dumps(CALCULATIONS["electrical"].example)
    choosing = client.post(page, {"given": given}).context
    [task] = [each for each in choosing["form"].tasks.values() if each.words == "sweep"]
    sent = {
        "given": given,
        "key": str(uuid.uuid4()),
        "task": str(task.uid),
        "source": "nameplate",
        "note": "pump",
    }
    for _press in range(2):
        answer = client.post(page, sent)
        assert (answer.status_code, answer.url) == (
            302,
            reverse("task", args=[designing.project.uid, task.uid]),
        )
    [kept] = Design.objects.all()
    assert (kept.calculation, kept.source, kept.note) == ("electrical", "nameplate", "pump")
    assert (Event.objects.filter(verb="calculation kept").count(), Evidence.objects.count()) == (1, 0)
    shown = says(client.get(answer.url))
    assert "Motor circuit" in shown
    assert "nameplate" in shown
    paper = client.get(reverse("design", args=[kept.uid]))
    content = b"".join(paper.streaming_content)
    assert (paper.status_code, hashlib.sha256(content).hexdigest()) == (200, kept.blob.sha256)
    assert browser(designing)("stranger").get(reverse("design", args=[kept.uid])).status_code == 404
    assert browser(designing)("framer").get(reverse("design", args=[kept.uid])).status_code == 404


@pytest.mark.parametrize("both", [True, False])
def test_a_result_is_for_a_paper_or_a_task_and_not_both(designing: Site, both: bool) -> None:
    client, page = browser(designing)("coordinator"), hand_in_page(designing)
    given = json.dumps(CALCULATIONS["backing"].example)
    choosing = client.post(page, {"given": given}).context
    [need] = choosing["needs"]
    chosen = {"requirement": need.value, "task": str(need.task)} if both else {}
    answer = client.post(page, {"given": given, "key": str(uuid.uuid4()), "source": "a call", **chosen})
    assert (answer.status_code, Design.objects.count(), Evidence.objects.count()) == (422, 0, 0)


def test_the_recall_test_is_one_page_with_a_line_for_each_input(signed_in: Callable[[str], Client]) -> None:
    client = signed_in("contractor")
    shown = client.post(reverse("calculator", args=["alarm"]), posted(example("alarm")))
    sheet = client.post(reverse("recall-test"), {"given": shown.context["found"].given})
    assert (sheet.status_code, sheet["Content-Type"]) == (200, "application/pdf")
    reader = PdfReader(io.BytesIO(sheet.content))
    text = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    assert len(reader.pages) == 1, text
    for words in (
        "Joint recall test of the elevator",
        "smoke detector, landing 1",
        "As seen",
        "Initials",
        "panel reset",
    ):
        assert words in text
    assert client.post(reverse("recall-test"), {"given": "nonsense"}).status_code == 404
    residence = json.dumps({"landings": ["1", "2"], "lift_class": "private residence"})
    assert client.post(reverse("recall-test"), {"given": residence}).status_code == 422


def test_only_who_may_enter_for_a_company_hands_results_in(designing: Site) -> None:
    given = json.dumps(CALCULATIONS["backing"].example)
    answers = {
        name: browser(designing)(name).post(hand_in_page(designing), {"given": given}).status_code
        for name in (
            "coordinator",
            "contractor",
            "framer",
            "crew",
            "owner",
            "left",
            "stranger",
            "by link: framer",
        )
    }
    assert answers == {**dict.fromkeys(answers, 404), "coordinator": 200, "contractor": 200}


@pytest.mark.parametrize("given", ["", "[]", "{", '{"lines": [1]}', "7"])
def test_inputs_that_no_page_wrote_are_no_page(designing: Site, given: str) -> None:
    client = browser(designing)("coordinator")
    assert client.post(hand_in_page(designing, "hoistway_survey"), {"given": given}).status_code in {404, 422}


def test_another_suppliers_paper_is_out_of_reach(designing: Site) -> None:
    far = build("far.")
    client = browser(designing)("coordinator")
    assert client.post(hand_in_page(far), {"given": "{}"}).status_code == 404
