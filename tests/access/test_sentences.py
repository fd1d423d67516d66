"""Every reason that the floors below the gates can give has a sentence, and no sentence is left over."""

import ast
from pathlib import Path

import pytest

from coordination.access.refusals import Reason
from coordination.access.sentences import SENTENCES, sentence
from coordination.dates.sentences import SENTENCES as OF_DATES
from coordination.projects.sentences import SENTENCES as OF_PROJECTS

ROOT = Path(__file__).resolve().parent.parent.parent / "coordination"


def reasons_given(floor: str) -> set[str]:
    """The keys with which ``Reason(...)`` is called in the code of a floor."""
    calls = (
        node
        for path in (ROOT / floor).rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Reason"
    )
    return {call.args[0].value for call in calls if isinstance(call.args[0], ast.Constant)}


@pytest.mark.parametrize(
    ("floor", "sentences"), [("access", SENTENCES), ("projects", OF_PROJECTS), ("dates", OF_DATES)]
)
def test_each_reason_has_its_sentence(floor, sentences):
    shared = {"change gone"} if floor == "projects" else set()
    assert reasons_given(floor) - shared == set(sentences) - shared


def test_a_reason_is_said_with_what_it_is_about():
    assert (
        sentence(Reason("too many attempts", {"minutes": 6})) == "Too many attempts. Try again in 6 minutes."
    )
    assert sentence(Reason("booked already", {"day": "2026-04-06"}), OF_DATES) == (
        "This visit is booked for 2026-04-06; move that booking."
    )
