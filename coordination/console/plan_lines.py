"""A derived plan in words: questions, findings, packages with their tasks, gates, quantities."""

from collections.abc import Iterator, Mapping
from itertools import groupby

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.console.lines import Line, titled
from coordination.console.requirement_lines import requirement_lines, source_words
from coordination.evidence.readings import shown
from coordination.gates.sentences import in_language, party_words, trade_words
from coordination.projects.trade_words import in_words_of
from coordination.siteprep.facts import Facts
from coordination.siteprep.plan import Condition, Gate, Link, Plan, Question, Task


def plan_lines(plan: Plan, facts: Facts) -> Iterator[Line]:
    """The whole plan. ``facts`` says in which units the site measures and what each fact is called."""
    words = Words(plan, facts)
    yield from _heading(plan, facts)
    yield from titled(_("QUESTIONS"), (line for each in plan.questions for line in _question(each, words)))
    findings = [
        line
        for each in plan.findings
        for line in [
            (0, in_language(each.text)),
            (1, _("Source: %(source)s") % {"source": source_words(each.source)}),
        ]
    ]
    yield from titled(_("FINDINGS"), findings)
    for package in plan.packages:
        tasks = [task for task in plan.tasks if task.package == package.key]
        title = f"{package.order}  {in_language(package.text).upper()}"
        yield from titled(title, (line for task in tasks for line in _task(task, words)))
    yield from titled(_("GATES"), (line for gate in plan.gates for line in _gate(gate, words)))
    yield from titled(_("QUANTITIES"), _quantities(plan, words))


class Words:
    """What the keys of one plan are called."""

    def __init__(self, plan: Plan, facts: Facts) -> None:
        self.plan, self.facts = plan, facts
        self.tasks = {task.key: task for task in plan.tasks}
        self.places = {place.key: in_language(place.text) for place in plan.places}
        self.gates = {gate.key: in_language(gate.text) for gate in plan.gates}
        self.requirements = {
            each.subject: in_language(each.text) for task in plan.tasks for each in task.requirements
        }
        self.links: dict[str, list[Link]] = {task.key: [] for task in plan.tasks}
        for link in plan.links:
            self.links[link.after].append(link)

    def task(self, key: str) -> str:
        task = self.tasks[key]
        return f"{in_language(task.text)} ({self.places[task.place]})"

    def condition(self, condition: Condition) -> str:
        subject = condition.subject
        return {
            "task accepted": lambda: _("accepted: %(task)s") % {"task": self.task(subject)},
            "requirement satisfied": lambda: _("shown: %(requirement)s") % {"requirement": self._of(subject)},
            "document present": lambda: _("document: %(requirement)s") % {"requirement": self._of(subject)},
            "question answered": lambda: _("question answered: %(fact)s") % {"fact": self.fact(subject)},
            "gate cleared": lambda: _("cleared: %(gate)s") % {"gate": self.gates.get(subject, subject)},
            "signature": lambda: _("signed by %(who)s") % {"who": party_words(subject)},
        }[condition.kind]()

    def fact(self, key: str) -> str:
        definition = self.facts.definitions.get(key)
        return f"{in_language(definition.text)} [{key}]" if definition else key

    def _of(self, subject: str) -> str:
        return f"{self.requirements[subject]} ({self.places[self.tasks[subject.partition('#')[0]].place]})"


def _heading(plan: Plan, facts: Facts) -> Iterator[Line]:
    covers = sum(link.kind == "covers" for link in plan.links)
    yield 0, str(facts.value("job.name") or _("Job without a name"))
    counts = [
        words % number
        for number, words in (
            (len(plan.tasks), ngettext("%d task", "%d tasks", len(plan.tasks))),
            (len(plan.packages), ngettext("%d package", "%d packages", len(plan.packages))),
            (len(plan.links), ngettext("%d link", "%d links", len(plan.links))),
            (len(plan.handoffs), ngettext("%d handoff", "%d handoffs", len(plan.handoffs))),
            (covers, ngettext("%d hides other work", "%d hide other work", covers)),
            (len(plan.gates), ngettext("%d gate", "%d gates", len(plan.gates))),
            (len(plan.questions), ngettext("%d open question", "%d open questions", len(plan.questions))),
        )
    ]
    yield 0, ", ".join(counts)
    yield (
        0,
        _("Drawing revision: %(revision)s. Rules: %(sha)s")
        % {
            "revision": plan.drawing_revision or _("none on file"),
            "sha": plan.catalogue_sha[:12],
        },
    )
    yield (
        0,
        in_words_of(
            plan.code_set,
            _(
                "Derived from the stated site facts. The approved revision of the {lift} maker's drawing, the local "
                "code, the authorities and licensed trades decide."
            ),
        ),
    )


def _question(question: Question, words: Words) -> Iterator[Line]:
    yield 0, f"{in_language(question.text)} [{question.fact}]"
    yield 1, _("Decides: %(who)s") % {"who": party_words(question.decides)}
    if question.safe_default:
        yield 1, _("Until then: %(default)s") % {"default": in_language(question.safe_default)}
    for reading in question.readings:
        yield 1, in_language(reading)
    if question.tasks:
        tasks = "; ".join(words.task(key) for key in question.tasks)
        yield 1, _("Work that rests on it: %(tasks)s") % {"tasks": tasks}


def _task(task: Task, words: Words) -> Iterator[Line]:
    yield 0, f"{words.task(task.key)} [{task.key}]"
    if task.milestone_of:
        yield 1, _("gate, takes no time; %(trade)s") % {"trade": trade_words(task.trade)}
    else:
        yield 1, f"{trade_words(task.trade)}; {_duration(task, words.plan.code_set)}"
    yield 1, in_language(task.first_line)
    if task.provisional:
        facts = "; ".join(words.fact(key) for key in task.because)
        yield 1, _("PROVISIONAL until known: %(facts)s") % {"facts": facts}
    for caution in task.cautions:
        yield 1, _("CAUTION: %(caution)s") % {"caution": in_language(words.plan.cautions[caution])}
    yield from ((1, line) for line in _waits(task, words))
    for requirement in task.requirements:
        yield from ((depth + 1, text) for depth, text in requirement_lines(requirement, words.facts.units))
    for source in task.sources:
        yield 1, _("Source: %(source)s") % {"source": source_words(source)}


def _duration(task: Task, code_set: str) -> str:
    days = task.duration
    likely = ngettext("%d working day", "%d working days", days.likely) % days.likely
    spread = _("P10 %(low)d, P90 %(high)d") % {"low": days.low, "high": days.high}
    return f"{likely} ({spread}; {in_words_of(code_set, calendar_words(task.calendar))})"


def calendar_words(calendar: str) -> str:
    names: Mapping[str, str] = {
        "site": _("calendar of the site"),
        "lift": _("calendar of the {lift} crew"),
        "authority": _("calendar of the authority"),
        "maker": _("calendar of the maker"),
    }
    return names.get(calendar, calendar)


def _waits(task: Task, words: Words) -> Iterator[str]:
    """What the task waits for: plain links of one kind in one sentence, each handoff in its own."""

    def alike(link: Link) -> tuple[str, int, str, bool, str]:
        return (link.kind, link.lag, link.unit, link.handoff, in_language(link.receiver_note))

    for (kind, lag, unit, handoff, note), links in groupby(
        sorted(words.links[task.key], key=alike), key=alike
    ):
        before = "; ".join(words.task(link.before) for link in links)
        yield f"{_waiting(kind, handoff)}: {before}{_lag(lag, unit)}"
        if note:
            yield _("Look at: %(note)s") % {"note": note}


def _waiting(kind: str, handoff: bool) -> str:
    words = {
        "FS": _("After"),
        "SS": _("Not begun before this has begun"),
        "FF": _("Not finished before this is finished"),
        "SF": _("Not finished before this has begun"),
        "covers": _("Hides, so this must be accepted first"),
    }[kind]
    return _("%(words)s (handoff: accept or refuse)") % {"words": words} if handoff else words


def _lag(lag: int, unit: str) -> str:
    if not lag:
        return ""
    if unit == "calendar":
        days = ngettext("%d calendar day", "%d calendar days", lag) % lag
    else:
        days = ngettext("%d working day", "%d working days", lag) % lag
    return _(", and %(days)s") % {"days": days}


def _gate(gate: Gate, words: Words) -> Iterator[Line]:
    yield 0, f"{in_language(gate.text)} [{gate.key}]"
    for condition in gate.conditions:
        yield 1, words.condition(condition)
    yield 1, _("Cleared by %(who)s") % {"who": party_words(gate.clears)}
    for caution in gate.cautions:
        yield 1, _("CAUTION: %(caution)s") % {"caution": in_language(words.plan.cautions[caution])}


def _quantities(plan: Plan, words: Words) -> Iterator[Line]:
    for each in plan.quantities:
        value = shown(each.value, each.unit, words.facts.units)
        yield 0, f"{in_language(each.text)}, {words.places[each.place]}: {value} [{each.key}]"
        yield 1, _("Source: %(source)s") % {"source": source_words(each.source)}
