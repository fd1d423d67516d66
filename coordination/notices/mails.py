"""One mail about one decision to one person: plain text, in their language, with a link to the page.

No telephone number, no token, nothing that signs in: whoever gets the mail by mistake learns little and may do nothing.
A company without an account comes to its page by the link that it was sent.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import translation
from django.utils.formats import date_format
from django.utils.translation import pgettext

from coordination.access.models import Project
from coordination.gates.awaited import Awaited
from coordination.gates.refusal_words import reason_words
from coordination.gates.sentences import in_language, party_words
from coordination.notices.reminding import who_is_awaited
from coordination.notices.sentences import SUBJECTS
from coordination.notices.telling import WHOLE_SITE, reopened
from coordination.projects.models import Gate, Question, Requirement, Task
from coordination.projects.queries import standing_facts
from coordination.projects.shared_names import in_place, telling_apart
from coordination.projects.trade_words import speaking
from coordination.record.queries import Decision

TIMED = frozenset({"offered", "reminded", "late"})


@dataclass(frozen=True)
class Addressee:
    """Whom a mail is for. ``roles`` choose the page that it leads to; ``by_link`` where they have no account."""

    name: str
    email: str
    language: str
    roles: frozenset[str]
    by_link: bool = False


@dataclass(frozen=True)
class Mail:
    subject: str
    body: str
    headers: Mapping[str, str]


def mail_of(
    decision: Decision,
    kind: str,
    addressee: Addressee,
    project: Project,
    *,
    waits: Awaited | None = None,
    unheard: Sequence[str] = (),
) -> Mail:
    """The mail as they read it. ``waits`` is what is open, ``unheard`` are the names of those whom no mail reaches."""
    with translation.override(addressee.language), speaking(project.code_set):
        unheard, base = [party_words(name) for name in unheard], _base(decision, kind)
        about = _about(decision, base, project)
        context = {
            "person": addressee,
            "by_link": addressee.by_link,
            "unheard": unheard,
            "happened": base,
            "project": project,
            "what": about["what"],
            "who": decision.actor.get("name", ""),
            "reasons": _reasons(decision, base),
            "at_work": about.get("at_work", ()),
            "answer": about.get("answer", ""),
            "answer_by": _moment(_due(decision, waits), project) if base in TIMED else "",
            "awaited": who_is_awaited(waits) if waits else (),
            "crew_waiting": bool(decision.body.get("crew_waiting")),
            "address": settings.SITE_ADDRESS + _page(kind, about.get("task"), project, addressee),
        }
        told = {"site": project.name, "what": about["what"], "who": ", ".join(unheard)}
        subject = str(SUBJECTS[kind]) % told
        body = render_to_string(f"mail/{kind}.txt", context).strip() + "\n"
    return Mail(" ".join(subject.split())[:180], body, {"Auto-Submitted": "auto-generated"})


def _base(decision: Decision, kind: str) -> str:
    """What happened, for a mail that says that somebody has not heard of it."""
    if kind == "unheard":
        return (
            "reopened" if reopened(decision) else "offered" if decision.verb == "work offered" else "refused"
        )
    return "reminded" if kind == "unreminded" else kind


def _about(decision: Decision, kind: str, project: Project) -> dict[str, Any]:
    """What the mail is about in words, and the task whose page it leads to."""
    if kind == "reopened":
        return _of_reopening(decision, project)
    if kind == "cleared":
        gate = (
            Gate.objects.select_related("task")
            .filter(task__project=project, key=decision.body["gate"])
            .first()
        )
        return {"what": _gate_words(gate, decision.subject), "task": gate.task if gate else None}
    if kind == "answered":
        return _of_answer(decision, project)
    key, _, requirement = decision.subject.partition("#")
    task = Task.objects.filter(project=project, key=key).first()
    what = _named(task, telling_apart(project)) if task else key
    if task and requirement:
        asked = Requirement.objects.filter(task=task, key=requirement).first()
        what = f"{what}: {in_language(asked.terms.get('text', {})) if asked else requirement}"
    return {"what": what, "task": task}


def _of_reopening(decision: Decision, project: Project) -> dict[str, Any]:
    keys = [str(item["gate"]) for item in reopened(decision)]
    rows = {
        row.key: row
        for row in Gate.objects.select_related("task").filter(task__project=project, key__in=keys)
    }
    words = "; ".join(_gate_words(rows.get(key), key) for key in keys)
    working = {
        (str(one["task"]), str(one["company"]))
        for item in reopened(decision)
        for one in item.get("at_work", ())
    }
    places = telling_apart(project)
    tasks = {
        task.key: _named(task, places)
        for task in Task.objects.filter(project=project, key__in=[key for key, _company in working])
    }
    at_work = [", ".join(filter(None, (tasks.get(key) or key, company))) for key, company in sorted(working)]
    first = rows.get(keys[0])
    return {"what": words, "task": first.task if first else None, "at_work": at_work}


def _of_answer(decision: Decision, project: Project) -> dict[str, Any]:
    fact = decision.subject
    question = Question.objects.filter(project=project, fact=fact).first()
    known = standing_facts(project).definitions.get(fact)
    words = question.derived.get("text", {}) if question else dict(known.text) if known else {}
    said = decision.body.get("facts", {}).get(fact, {})
    return {"what": in_language(words) or fact, "answer": said.get("typed", "")}


def _named(task: Task, places: Mapping[str, Mapping[str, str]]) -> str:
    """The work, with its place in front where others have the same name."""
    return in_place(in_language(task.derived.get("text", {})), in_language(places.get(task.key, {})))


def _gate_words(gate: Gate | None, key: str) -> str:
    return (in_language(gate.derived.get("text", {})) if gate else "") or key


def _reasons(decision: Decision, kind: str) -> list[str]:
    if kind not in {"refused", "reopened"}:
        return []
    given = decision.body.get("reasons") or decision.body.get("reason") or []
    return reason_words([given] if isinstance(given, str) else [str(reason) for reason in given])


def _due(decision: Decision, waits: Awaited | None) -> str | None:
    """When the answer is due: as the offer said, or as long after the evidence as its review asks."""
    return decision.body.get("answer_by") or (waits.due.isoformat() if waits and waits.due else None)


def _moment(text: str | None, project: Project) -> str:
    if not text:
        return ""
    local = datetime.fromisoformat(text).astimezone(ZoneInfo(project.zone))
    day = date_format(local, pgettext("date format", "D j M"), use_l10n=False)
    return f"{day}, {local:%H:%M}"


def _page(kind: str, task: Task | None, project: Project, to: Addressee) -> str:
    """The page for this reader; their own first page where the thing itself has left the plan."""
    whole = bool(to.roles & WHOLE_SITE)
    if to.by_link:
        return reverse("my-tasks", args=[project.uid])
    if kind in {"unheard", "unreminded"}:
        return reverse("calls") if "coordinator" in to.roles else reverse("owed", args=[project.uid])
    if kind == "answered" or task is None:
        page = "facts" if kind == "answered" else "project"
        return reverse(page, args=[project.uid]) if whole else reverse("home")
    if kind in {"reopened", "cleared"}:
        return reverse("gate", args=[project.uid, task.uid]) if whole else reverse("home")
    return reverse("task" if whole else "my-task", args=[project.uid, task.uid])
