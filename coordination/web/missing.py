"""What is missing, in plain words, with who owes it: for start guards, offers and gates on every screen."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from coordination.gates.holding import Holding
from coordination.projects.models import Task
from coordination.readiness import Missing
from coordination.web.texts import said
from coordination.web.words import DECIDERS, ROLES

Address = Callable[[Task], str]

SENTENCES: Mapping[str, str | Promise] = {
    "not in the plan": _("%(what)s: no longer in the plan"),
    "not begun": _("%(what)s: not begun"),
    "not finished": _("%(what)s: not finished"),
    "lag running": _("%(what)s: its waiting time still runs"),
    "not handed in": _("%(what)s: not handed in"),
    "not reviewed": _("%(what)s: handed in, nobody has looked at it yet"),
    "refused": _("%(what)s: refused"),
    "out of tolerance": _("%(what)s: outside the tolerance"),
    "authority document missing": _("%(what)s: the authority’s own document is missing"),
    "handoff not offered": _("%(what)s: not offered on yet"),
    "handoff not answered": _("%(what)s: offered, not answered"),
    "handoff refused": _("%(what)s: the handoff was refused"),
    "gate not cleared": _("Gate “%(what)s”: not cleared"),
    "question open": _("Not answered: %(what)s"),
    "fact only assumed": _("Only assumed: %(what)s"),
    "document missing": _("%(what)s: the document is missing"),
    "plan not settled": _("Facts changed; the plan is not settled"),
    "signature missing": _("Signature of the %(what)s"),
    "signature for another standing": _("The %(what)s signed for an earlier standing and must sign again"),
}
STATES: Mapping[str, str] = {
    "not begun": "held",
    "not finished": "at work",
    "lag running": "at work",
    "not reviewed": "handed in",
    "refused": "refused",
    "out of tolerance": "refused",
    "handoff not answered": "offered",
    "handoff refused": "refused",
    "gate not cleared": "held",
    "question open": "question open",
    "fact only assumed": "assumed",
    "plan not settled": "question open",
}


@dataclass(frozen=True)
class MissingLine:
    """One line of components/missing_list.html."""

    sentence: str
    because: str
    owner: str
    phone: str
    href: str
    state: str


def missing_lines(missing: Iterable[Missing], holding: Holding, address: Address) -> list[MissingLine]:
    """Each missing thing as a sentence, leading to its task where ``address`` knows one."""
    return [_line(item, holding, address) for item in missing]


def _line(item: Missing, holding: Holding, address: Address) -> MissingLine:
    task = holding.task_by_key.get(item.task)
    what = what_is(item, holding)
    because = said(task.derived.get("text", {})) if task and not task.is_gate else ""
    return MissingLine(
        sentence=str(SENTENCES[item.kind]) % {"what": what},
        because="" if because == what else because,
        owner=item.owner or _who_decides(item, holding),
        phone=item.phone,
        href=address(task) if task else "",
        state=STATES.get(item.kind, "none"),
    )


def _who_decides(item: Missing, holding: Holding) -> str:
    """The one who must answer, where the answer to a question is missing."""
    question = next((row for row in holding.questions if row.fact == item.subject), None)
    return str(DECIDERS.get(question.decides, question.decides)) if question else ""


def what_is(item: Missing, holding: Holding) -> str:
    """The subject of a missing thing in words; its key where it is nothing that stands."""
    subject = item.subject.partition(">")[0]
    if task := holding.task_by_key.get(subject):
        return said(task.derived.get("text", {})) or subject
    if requirement := holding.requirement_by_key.get(subject):
        return said(requirement.terms.get("text", {})) or subject
    if gate := holding.gate_by_key.get(subject):
        return said(holding.task[gate.task_id].derived.get("text", {})) or subject
    if question := next((row for row in holding.questions if row.fact == subject), None):
        return said(question.derived.get("text", {})) or subject
    return str(ROLES.get(subject, subject))
