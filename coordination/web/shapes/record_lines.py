"""Decisions of the record in plain words."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from coordination.access.models import Project
from coordination.projects.models import Gate, Requirement, Task
from coordination.projects.shared_names import in_place, telling_apart
from coordination.record.queries import Decision
from coordination.siteprep.facts import FactDefinition
from coordination.web.shapes.companies import trade_names
from coordination.web.shapes.visit_lines import NAMES as VISITS
from coordination.web.texts import on_day, said
from coordination.web.words import PURPOSES, ROLES

SENTENCES: Mapping[str, str | Promise] = {
    "project opened": _("opened the project"),
    "member added": _("let %(person)s stand on the project as %(role)s"),
    "member left": _("ended the standing of %(person)s as %(role)s"),
    "company assigned": _("gave the trade “%(trade)s” to %(company)s"),
    "company reach set": _("wrote down how %(company)s is reached"),
    "link sent": _("sent %(holder)s a link to: %(purpose)s"),
    "link revoked": _("took back the link of %(holder)s to: %(purpose)s"),
    "facts entered": _("entered site facts"),
    "question answered": _("answered a question"),
    "authority set": _("entered what is known of an authority"),
    "plan derived again": _("had the plan derived again"),
    "site position stated": _("said where the site is, so that photos may be compared with it"),
    "site position taken back": _("took back where the site is; no photo is compared with it any more"),
    "local rules laid down": _("laid down local rules: %(subject)s"),
    "local rules withdrawn": _("withdrew the local rules: %(subject)s"),
    "plan accepted": _("accepted a change of plan"),
    "calendar set": _("set the working days of: %(subject)s"),
    "dates set": _("set the days of “%(what)s”"),
    "trade days set": _("said from which day this trade can come: %(trade)s"),
    "link added": _("let one thing wait for another: %(what)s"),
    "link ended": _("took a link back: %(what)s"),
    "order of work set": _("said what becomes of work begun before its turn: %(order)s"),
    "package day set": _("set the day by which the package “%(what)s” is to be done"),
    "dates taken from a file": _("took days from the file “%(subject)s”"),
    "visit booked": _("booked the visit “%(visit)s”"),
    "visit moved": _("moved the visit “%(visit)s”"),
    "visit terms set": _("entered on what the visit “%(visit)s” is booked"),
    "visit called off": _("called off the visit “%(visit)s”"),
    "visit confirmed": _("let the crew come for the visit “%(visit)s”"),
    "site-ready statement signed": _("signed that the site is ready for the visit “%(visit)s”"),
    "call logged": _("called about the visit “%(visit)s”"),
    "news told": _("told %(subject)s what had happened, by telephone or text message"),
    "delay entered": _("entered what held up “%(what)s”"),
    "delay taken back": _("took back what was entered as holding up “%(what)s”"),
    "baseline taken": _("kept the dates as a baseline"),
    "work begun": _("began “%(what)s”"),
    "work offered": _("offered “%(what)s”"),
    "work done": _("reported “%(what)s” done"),
    "calculation kept": _("kept a calculation beside “%(what)s”"),
    "evidence handed in": _("handed in “%(what)s”"),
    "evidence withdrawn": _("withdrew what was handed in for “%(what)s”"),
    "evidence accepted": _("accepted “%(what)s”"),
    "evidence refused": _("refused “%(what)s”"),
    "photo marked": _("put a mark on a photo of “%(what)s”"),
    "mark taken back": _("took a mark back from a photo of “%(what)s”"),
    "mark made a reason": _("made a mark on a photo of “%(what)s” a reason of the refusal"),
    "acceptance taken back": _("took back the acceptance of “%(what)s”"),
    "handoff accepted": _("accepted the handoff of “%(what)s”"),
    "handoff refused": _("refused the handoff of “%(what)s”"),
    "concession granted": _("granted a concession for “%(what)s”"),
    "concession spoken for": _("spoke for a concession for “%(what)s”"),
    "concession ended": _("took back the concession for “%(what)s”"),
    "concession lapsed": _("the concession for “%(what)s” ran out"),
    "variance attached": _("attached an authority’s variance for “%(what)s”"),
    "work added": _("added the work “%(what)s”"),
    "work taken back": _("took back the work “%(what)s”"),
    "inspection passed": _("entered the result of the inspection “%(what)s”: passed"),
    "inspection failed": _("entered the result of the inspection “%(what)s”: not passed"),
    "witness point added": _("added a witness point at “%(what)s”"),
    "witness point taken back": _("took back a witness point at “%(what)s”"),
    "witness told": _("told who may attend at “%(what)s”"),
    "witness attended": _("said whether the party came to “%(what)s”"),
    "gate added": _("added the gate “%(what)s”"),
    "gate taken back": _("took back the gate “%(what)s”"),
    "gate signed": _("signed the gate “%(what)s”"),
    "gate cleared": _("cleared the gate “%(what)s”"),
    "gates reopened": _("reopened: %(what)s"),
    "report made": _("made a handover report"),
    "report asked for": _("asked for a handover report in another language or size"),
    "final list filled": _("wrote something down for the final list"),
    "papers asked for": _("asked for papers to be packed"),
    "papers packed": _("packed papers"),
    "remark left": _("left a remark on a handover report"),
}
ORDERS_OF_WORK: Mapping[str, str | Promise] = {
    "retained": _("the planned order is kept"),
    "override": _("begun work goes on"),
}
DETAILS: Mapping[str, str | Promise] = {
    "note": _("note"),
    "reason": _("reason"),
    "reasons": _("reasons"),
    "statement": _("statement"),
    "scope": _("scope"),
    "before": _("before"),
    "source": _("source"),
    "entered_for": _("entered for"),
    "day": _("day"),
    "from": _("moved from"),
    "confirm_by": _("confirm by"),
    "owner": _("called"),
    "contact": _("whom to ask for"),
    "phone": _("telephone"),
    "email": _("e-mail"),
    "outcome": _("outcome"),
    "lead_days": _("working days of notice"),
    "free_cancellation_days": _("working days until which calling off is free"),
    "confirm_days": _("working days before which to confirm"),
    "done_by": _("done by"),
    "not_before": _("not before"),
    "own_duration": _("working days"),
    "expires_at": _("until"),
    "expires_on": _("until"),
    "number": _("number"),
    "words": _("words"),
    "on": _("on"),
    "round": _("round"),
    "reopens": _("reopens"),
    "instead_of": _("in the place of, who had not answered"),
    "answer_by": _("the answer was due"),
    "takes_over": _("takes over what it builds on"),
    "snapshot_sha256": _("SHA-256 of the snapshot"),
    "sha256": _("SHA-256"),
    "entries": _("entries"),
}


@dataclass(frozen=True)
class Detail:
    """Something that was said with a decision."""

    label: str
    words: str


@dataclass(frozen=True)
class RecordLine:
    """One decision. ``claimed`` is when it is said to have happened, where that is another time."""

    seq: int
    at: datetime
    claimed: datetime | None
    who: str
    as_what: str
    sentence: str
    details: tuple[Detail, ...]
    hash: str


class Naming:
    """The words for what decisions are about, also for what has left the plan since."""

    def __init__(self, project: Project, definitions: Mapping[str, FactDefinition]) -> None:
        rows = list(Task.objects.filter(project=project))
        where = {key: said(place) for key, place in telling_apart(project, rows).items()}
        self.names = {row.key: in_place(said(row.derived["text"]), where.get(row.key, "")) for row in rows}
        self.names |= {row.key: self.names[row.task.key] for row in _gates(project)}
        for need in Requirement.objects.filter(task__project=project).select_related("task"):
            name = said(need.terms.get("text", {}))
            self.names[f"{need.task.key}#{need.key}"] = in_place(name, where.get(need.task.key, ""))
        self.facts = {key: said(each.text) for key, each in definitions.items()}
        self.trades = trade_names(project, everybody=True)

    def lines(self, decisions: Iterable[Decision]) -> list[RecordLine]:
        return [self._line(decision) for decision in decisions]

    def _line(self, decision: Decision) -> RecordLine:
        actor, body = decision.actor, decision.body
        company = str(actor.get("company") or "")
        role = str(ROLES.get(actor.get("role", ""), actor.get("role", "")))
        return RecordLine(
            seq=decision.seq,
            at=decision.at,
            claimed=decision.claimed_at if decision.claimed_at != decision.at else None,
            who=str(actor.get("name", "")),
            as_what=", ".join(filter(None, (role if role != "system" else "", company))),
            sentence=self._sentence(decision),
            details=(*self._facts(body), *self._details(body)),
            hash=decision.hash,
        )

    def _sentence(self, decision: Decision) -> str:
        sentence = SENTENCES.get(decision.verb)
        if sentence is None:
            return f"{decision.verb}: {self.what(decision.subject)}"
        body = decision.body
        return str(sentence) % {
            "what": self.what(decision.subject),
            "subject": decision.subject,
            "trade": self.trades.get(decision.subject, decision.subject),
            "visit": VISITS.get(decision.subject, decision.subject),
            "company": body.get("company", ""),
            "person": body.get("person", ""),
            "role": ROLES.get(body.get("role", ""), body.get("role", "")),
            "order": ORDERS_OF_WORK.get(decision.subject, decision.subject),
            "holder": body.get("holder") or _now("somebody not named"),
            "purpose": PURPOSES.get(body.get("purpose", ""), body.get("purpose", "")),
        }

    def what(self, subject: str) -> str:
        """A task, requirement, gate, or several of them, by name."""
        return ", ".join(self._name(part) for part in subject.split(", "))

    def _name(self, subject: str) -> str:
        if subject in self.names:
            return self.names[subject]
        before, arrow, after = subject.partition(">")
        return f"{self._name(before)} → {self._name(after)}" if arrow else self.facts.get(subject, subject)

    def _facts(self, body: Mapping[str, Any]) -> Iterable[Detail]:
        for key, told in (body.get("facts") or {}).items():
            value = (
                told["typed"] if told["state"] == "known" else f"{told['typed']} ({_state(told['state'])})"
            )
            who = ", ".join(filter(None, (told["said_by"], told["source"])))
            yield Detail(self.facts.get(key, key), f"{value.strip()}; {who}" if who else value.strip())

    def _details(self, body: Mapping[str, Any]) -> Iterable[Detail]:
        for key, label in DETAILS.items():
            told = body.get(key)
            if key == "takes_over":
                told = [self.what(item["work"]) for item in told or ()]
            if words := _words(key, told):
                yield Detail(str(label), self.what(words) if key == "reopens" else words)
        for name, label in (("added", _("added")), ("dropped", _("dropped")), ("altered", _("altered"))):
            if listed := (body.get("summary") or {}).get(name):
                yield Detail(str(label), str(len(listed)))
        for other in body.get("also") or ():
            yield Detail(_now("it also shows"), self.what(other["requirement"]))
        for item in body.get("items") or ():
            yield Detail(
                item.get("file_name") or _now("value"), str(item.get("sha256") or item.get("typed") or "")
            )


def _words(key: str, value: Any) -> str:
    if isinstance(value, list):
        return ", ".join(filter(None, (_words(key, each) for each in value)))
    if isinstance(value, dict):
        return ", ".join(str(each) for each in value.values() if isinstance(each, str) and each)
    if isinstance(value, str) and len(value) >= 10 and value[4:5] == "-" and key not in ("note", "number"):
        return _day(value)
    return "" if value in (None, "", [], {}) else str(value)


def _day(text: str) -> str:
    try:
        day = date.fromisoformat(text[:10])
    except ValueError:
        return text
    return f"{on_day(day)} {day.year}"


def _state(state: str) -> str:
    return {"assumed": _now("assumed"), "unknown": _now("unknown")}.get(state, state)


def _gates(project: Project) -> Iterable[Gate]:
    return Gate.objects.filter(task__project=project).select_related("task")
