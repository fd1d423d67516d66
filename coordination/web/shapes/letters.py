"""A letter that asks an open question: to whom, what, what depends on it, by when, and how work goes on until then."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from urllib.parse import quote

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.access.queries import members
from coordination.access.visitors import Visitor
from coordination.dates.queries import DatedPlan, needed_by, schedule_of
from coordination.gates.sentences import trade_words
from coordination.projects.models import Authority
from coordination.projects.queries import QuestionView, authorities, questions, standing_facts, standing_plan
from coordination.projects.trade_words import in_words_of
from coordination.siteprep.facts import Facts
from coordination.siteprep.plan import Plan
from coordination.web.shapes.calculation_results import confirmed_by
from coordination.web.texts import on_day, said
from coordination.web.words import AUTHORITIES, ROLES

MOST_TASKS = 8
CODES = (
    ("code.elevator", "ASME A17.1/CSA B44"),
    ("code.electrical", "NFPA 70"),
    ("code.alarm", "NFPA 72"),
    ("code.building", "IBC"),
)


@dataclass(frozen=True)
class Paragraph:
    """A paragraph, and the list that may follow it."""

    text: str
    items: tuple[str, ...] = ()


@dataclass(frozen=True)
class Letter:
    """The whole letter, ready to send. ``email`` is empty where nobody has told it."""

    to: tuple[str, ...]
    sender: tuple[str, ...]
    day: str
    subject: str
    paragraphs: tuple[Paragraph, ...]
    email: str

    @property
    def body(self) -> str:
        """The letter without its heads, as plain text."""
        parts = ["\n".join([each.text, *(f"- {item}" for item in each.items)]) for each in self.paragraphs]
        return "\n\n".join([*parts, "\n".join(self.sender)])

    @property
    def text(self) -> str:
        """The whole letter as plain text."""
        head = "\n".join([*self.to, "", self.day, "", self.subject])
        return f"{head}\n\n{self.body}\n"

    @property
    def mail(self) -> str:
        """An address that opens the reader's own mail with the letter written."""
        body = self.body.replace("\n", "\r\n")
        return f"mailto:{quote(self.email)}?subject={quote(self.subject)}&body={quote(body)}"


class Asking:
    """What a letter about one question is written from, read once."""

    def __init__(self, visitor: Visitor, question: QuestionView, today: date) -> None:
        self.visitor, self.project, self.question, self.today = visitor, visitor.project, question, today
        self.plan: Plan = standing_plan(self.project)
        self.facts: Facts = standing_facts(self.project)
        self.dated: DatedPlan = schedule_of(self.project, today)
        self.needed_by = needed_by(self.project, today).get(question.fact)
        self.authorities = {row.kind: row for row in authorities(self.project)}


def open_question(visitor: Visitor, fact: str) -> QuestionView | None:
    """The open question about a fact."""
    return next((question for question in questions(visitor.project) if question.fact == fact), None)


def letter_about(
    visitor: Visitor, question: QuestionView, today: date, *, to_engineer: bool = False
) -> Letter:
    """The letter to whoever decides, or to the engineer of record."""
    asking = Asking(visitor, question, today)
    to, email = ((_("The engineer of record"),), "") if to_engineer else _to(asking)
    subject = _("%(project)s: %(question)s") % {
        "project": asking.project.name,
        "question": _first_sentence(said(question.text)),
    }
    permit = permit_words(asking.authorities.get(question.decides))
    return Letter(
        to=to,
        sender=tuple(_sender(visitor)),
        day=f"{on_day(today)} {today.year}",
        subject=f"{subject} ({permit})" if permit else subject,
        paragraphs=tuple(_paragraphs(asking, permit)),
        email=email,
    )


def permit_words(authority: Authority | None) -> str:
    """The project's permit at this authority."""
    if authority is None or not authority.permit:
        return ""
    if authority.permit_on is None:
        return _("permit %(number)s") % {"number": authority.permit}
    told = {"number": authority.permit, "day": f"{on_day(authority.permit_on)} {authority.permit_on.year}"}
    return _("permit %(number)s of %(day)s") % told


def _to(asking: Asking) -> tuple[tuple[str, ...], str]:
    """Name and telephone of an authority, or of the person with the role."""
    decides = asking.question.decides
    if decides in AUTHORITIES:
        row = asking.authorities.get(decides)
        name = row.name if row and row.name else str(AUTHORITIES[decides])
        return tuple(filter(None, [_capital(name), row.phone if row else ""])), ""
    person = next((member for member in members(asking.project) if member.role == decides), None)
    if person is None:
        return (_capital(confirmed_by(decides)),), ""
    lines = [person.name, _capital(str(ROLES[person.role])), person.company.name, person.phone]
    return tuple(filter(None, lines)), person.email


def _sender(visitor: Visitor) -> Iterator[str]:
    yield visitor.name
    yield ", ".join(filter(None, [str(ROLES[visitor.role]), visitor.company_name]))
    if visitor.phone:
        yield visitor.phone


def _paragraphs(asking: Asking, permit: str) -> Iterator[Paragraph]:
    question, project = asking.question, asking.project
    told = {"project": project.name, "place": project.place}
    where = _("%(project)s, %(place)s") % told if project.place else project.name
    opening = _("We are getting the building ready for {a_lift}: %(where)s.") % {"where": where}
    yield Paragraph(in_words_of(project.code_set, " ".join([opening, *_papers(asking, permit)])))
    yield Paragraph(_("We ask you: %(question)s") % {"question": said(question.text)})
    if question.readings:
        yield Paragraph(
            _("The codes can be read in more than one way. Which reading do you go by?"),
            tuple(said(reading) for reading in question.readings),
        )
    if depends := _depends(asking):
        yield Paragraph(_("What depends on the answer:"), depends)
    yield Paragraph(_by_when(asking))
    if question.safe_default:
        yield Paragraph(
            _("Until then we go on like this, to be safe: %(way)s") % {"way": said(question.safe_default)}
        )
    yield Paragraph(
        _(
            "Please answer in writing, and name the rule, the edition or the drawing that you go by. "
            "Your answer is entered in the record of the project with your name and the day."
        )
    )


def _papers(asking: Asking, permit: str) -> Iterator[str]:
    """Permit, drawing and adopted codes, as far as they are known."""
    if permit:
        yield _("Your reference: %(permit)s.") % {"permit": permit}
    elif asking.question.decides in AUTHORITIES:
        yield _("No permit number is recorded with us yet.")
    if asking.plan.drawing_revision:
        yield _("Drawing: revision %(revision)s.") % {"revision": asking.plan.drawing_revision}
    codes = [f"{name} {asking.facts.value(key)}" for key, name in CODES if _known(asking.facts, key)]
    if codes:
        yield _("Adopted as far as we know: %(codes)s.") % {"codes": ", ".join(codes)}


def _known(facts: Facts, key: str) -> bool:
    return key in facts and facts.value(key) is not None


def _depends(asking: Asking) -> tuple[str, ...]:
    """The first tasks that wait for it, the earliest first, with trade and day."""
    waiting = [task for task in asking.plan.tasks if task.key in asking.question.tasks]
    ordered = sorted(waiting, key=lambda task: (_start(asking, task.key), task.key))
    lines = [
        _("%(task)s (%(trade)s), planned from %(day)s")
        % {"task": said(task.text), "trade": trade_words(task.trade), "day": on_day(_start(asking, task.key))}
        if asking.today <= _start(asking, task.key) < date.max
        else _("%(task)s (%(trade)s)") % {"task": said(task.text), "trade": trade_words(task.trade)}
        for task in ordered[:MOST_TASKS]
    ]
    return (*lines, *_more(len(ordered) - MOST_TASKS))


def _more(number: int) -> Sequence[str]:
    if number <= 0:
        return ()
    return (ngettext("and %(number)d more task", "and %(number)d more tasks", number) % {"number": number},)


def _start(asking: Asking, key: str) -> date:
    dates = asking.dated.tasks.get(key)
    return dates.early_start if dates else date.max


def _by_when(asking: Asking) -> str:
    day = asking.needed_by
    if day is None:
        return _(
            "No day is set yet by which we need the answer; the sooner it is known, the less has to be redone."
        )
    told = {"day": f"{on_day(day)} {day.year}"}
    if day < asking.today:
        return _("The answer was needed by %(day)s; the work waits for it.") % told
    return (
        _("We need the answer by %(day)s; after that day work is done that would have to be redone.") % told
    )


def _first_sentence(text: str) -> str:
    """A question up to its mark; what explains it stands in the letter."""
    before, mark, _rest = text.partition("?")
    return before + mark


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
