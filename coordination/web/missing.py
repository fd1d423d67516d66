"""What is missing as lines of components/missing_list.html: for start guards, offers and gates on every screen."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from django.utils.text import capfirst

from coordination.gates.holding import Holding
from coordination.gates.sentences import Names, missing_thing, owner_words
from coordination.projects.models import Task
from coordination.readiness import Missing
from coordination.web.addresses import address_of
from coordination.web.words import DECIDERS

Address = Callable[[Task], str]

STATES: Mapping[str, str] = {
    "not begun": "held",
    "not finished": "at work",
    "lag running": "at work",
    "not reviewed": "handed in",
    "refused": "refused",
    "out of tolerance": "refused",
    "inspection failed": "failed",
    "handoff not answered": "offered",
    "handoff refused": "refused",
    "gate not cleared": "held",
    "question open": "question open",
    "fact only assumed": "assumed",
    "plan not settled": "question open",
}


@dataclass(frozen=True)
class MissingLine:
    """One missing thing, who owes it, and where to go."""

    sentence: str
    owner: str
    phone: str
    href: str
    state: str


def missing_lines(
    missing: Iterable[Missing], holding: Holding, address: Address | None = None
) -> list[MissingLine]:
    """Each missing thing as a sentence; ``address`` leads to its task, the task's own sheet unless told."""
    names = Names(holding)
    return [_line(item, names, address or sheet_of(holding)) for item in missing]


def sheet_of(holding: Holding) -> Address:
    """The sheet of a task, or of the gate whose milestone it is; empty while that page is not there."""

    def address(task: Task) -> str:
        return address_of("gate" if task.is_gate else "task", holding.project.uid, task.uid)

    return address


def _line(item: Missing, names: Names, address: Address) -> MissingLine:
    task = names.holding.task_by_key.get(item.task)
    return MissingLine(
        sentence=capfirst(missing_thing(item, names)),
        owner=owner_words(item) or _who_decides(item, names.holding),
        phone=item.phone,
        href=address(task) if task else "",
        state=STATES.get(item.kind, "none"),
    )


def _who_decides(item: Missing, holding: Holding) -> str:
    """The one who must answer, where the answer to a question is missing."""
    question = next((row for row in holding.questions if row.fact == item.subject), None)
    return str(DECIDERS.get(question.decides, question.decides)) if question else ""
