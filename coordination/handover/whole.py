"""A whole site frozen as canonical JSON: what contact sheets, the final list and packed folders are made from.

The same standing is the same text, whoever asks and on whichever day: it is dated by the last event that altered
anything in it, not by a clock.
"""

import hashlib
import json
from collections.abc import Mapping
from copy import deepcopy
from datetime import datetime
from typing import Any

from django.db.models import Q

from coordination.access.models import Project
from coordination.evidence.models import Design, Evidence
from coordination.evidence.outcomes import Item
from coordination.evidence.queries import item_of
from coordination.gates.frozen_holds import inspected, witnessed
from coordination.gates.frozen_site import FrozenSite
from coordination.gates.frozen_work import FrozenWork, Values, day_of, moment_of
from coordination.gates.scene import Scene, look_at
from coordination.handover.models import ItemWord, Report
from coordination.projects.models import Requirement, Task
from coordination.record.chaining import canonical
from coordination.record.models import Event

FORMAT = 1
# Events of packing itself: they alter nothing that a paper shows, and would make every standing a new one.
OWN_VERBS = ("papers asked for", "papers packed")
CONTACTS = ("coordinator", "contractor", "lift crew", "owner")
Whole = Mapping[str, Any]


def whole_of(project: Project, at: datetime) -> Whole:
    """Everything that stands on ``project``, as plain values."""
    return values_of(look_at(project, at))


def values_of(scene: Scene) -> Whole:
    """As ``whole_of``, of a scene that was loaded already."""
    return _Whole(scene).values()


def text_of(whole: Whole) -> str:
    """Canonical: the same standing is the same text."""
    return canonical(whole)


def digest_of(whole: Whole) -> str:
    return hashlib.sha256(text_of(whole).encode()).hexdigest()


def read_whole(text: str | bytes) -> Whole:
    found: Whole = json.loads(text)
    return found


def without_telephones(whole: Whole) -> Whole:
    """The same for whoever may not see telephone numbers."""
    found = deepcopy(dict(whole))
    for each in (*found["companies"], *found["people"]):
        each["phone"] = ""
    return found


class _Whole(FrozenSite):
    """One site while it is frozen."""

    def values(self) -> Values:
        live = [task for task in self.holding.tasks if task.retired_in is None and not task.is_gate]
        return {
            "format": FORMAT,
            "project": self.project(),
            "as_of": self.as_of(),
            "plan": self.of_plan(),
            "units": self.known.units,
            "facts": self.facts(),
            "drawing": self.drawing(),
            "places": self.places(),
            "quantities": self.quantities(),
            "tasks": self.tasks(live),
            "states": {key: ready.state for key, ready in self.judged.tasks.items()},
            "left_the_plan": self.left_the_plan(),
            "links": self.links(),
            "gates": self.gates(),
            "reports": self.reports(),
            "questions": self.questions(),
            **self.let_go(),
            "inspections": inspected(self.holding, self.judged),
            "witness_points": witnessed(self.holding, live),
            "authorities": self.authorities(),
            "companies": self.companies(),
            "people": self.people(),
            "said": self.said(),
            "cautions": self.texts_of_cautions(
                key for task in live for key in task.derived.get("cautions", ())
            ),
        }

    def as_of(self) -> Values:
        """The last event that altered anything of it."""
        stream = self.holding.project.stream
        last = Event.objects.filter(stream=stream).exclude(verb__in=OWN_VERBS).order_by("-seq").first()
        return {
            "at": moment_of(datetime.fromisoformat(last.at)) if last else None,
            "seq": last.seq if last else 0,
            "hash": last.hash if last else "0" * 64,
        }

    def tasks(self, live: list[Task]) -> list[Values]:
        work, designs = FrozenWork(self.scene, self.judged), self._designs()
        found = []
        for task in live:
            values = work.task(task)
            for row, need in zip(self.holding.requirements_of[task.pk], values["requirements"], strict=True):
                need.update(self._more_of(row, work))
            found.append({**values, "entry": task.entry, "designs": designs.get(task.pk, [])})
        return found

    def _more_of(self, row: Requirement, work: FrozenWork) -> Values:
        """Who judges it, and what was handed in and does not count any more."""
        shown = self.holding.shown[row.pk]
        standing = {item.evidence.pk for item in shown.standing}
        earlier = [item for item in shown.items if item.evidence.pk not in standing]
        return {"accepts": row.accepts, "earlier": [self._earlier(item, row, work) for item in earlier]}

    def _earlier(self, item: Item, row: Requirement, work: FrozenWork) -> Values:
        return {**work.evidence(item, row), "withdrawn_at": moment_of(item.evidence.withdrawn_at)}

    def _designs(self) -> dict[int, list[Values]]:
        """Calculations that were kept beside a task."""
        found: dict[int, list[Values]] = {}
        rows = Design.objects.filter(task__project=self.holding.project).select_related("blob").order_by("pk")
        for row in rows:
            told = {
                "uid": str(row.uid),
                "calculation": row.calculation,
                "file_name": row.file_name,
                "sha256": row.blob.sha256,
                "size": row.blob.size,
                "media_type": row.blob.media_type,
                "at": moment_of(row.at),
                "sender": row.sender_name,
                "note": row.note,
            }
            found.setdefault(row.task_id, []).append(told)
        return found

    def left_the_plan(self) -> list[Values]:
        """What was handed in for work or requirements that a later plan dropped: kept, and counted for nothing."""
        dropped = Q(requirement__retired_in__isnull=False) | Q(requirement__task__retired_in__isnull=False)
        rows = Evidence.objects.filter(dropped, requirement__task__project=self.holding.project)
        work = FrozenWork(self.scene, self.judged)
        return [
            {
                **work.evidence(item_of(row), row.requirement),
                "withdrawn_at": moment_of(row.withdrawn_at),
                "entry": row.requirement.task.entry,
                "place": row.requirement.task.place,
                "task_text": row.requirement.task.derived.get("text", {}),
                "key": row.requirement.key,
                "kind": row.requirement.terms.get("kind", ""),
                "text": row.requirement.terms.get("text", {}),
            }
            for row in rows.select_related("blob", "requirement__task").order_by("pk")
        ]

    def links(self) -> list[Values]:
        """What hides what, and what is passed on to whom."""
        task = self.holding.task
        found = [
            {
                "before": task[link.before_id].key,
                "after": task[link.after_id].key,
                "covers": link.kind == "covers",
                "handoff": link.handoff,
            }
            for link in self.holding.links
            if link.kind == "covers" or link.handoff
        ]
        return sorted(found, key=lambda each: (each["before"], each["after"]))

    def gates(self) -> list[Values]:
        found = []
        for gate in sorted(self.holding.gate_by_key.values(), key=lambda row: (row.order, row.key)):
            clearing = self.holding.standing_clearing(gate)
            found.append(
                {
                    "key": gate.key,
                    "text": gate.derived.get("text", {}),
                    "state": self.judged.gates[gate.key].state,
                    "round": clearing.round if clearing else None,
                    "cleared_at": moment_of(clearing.cleared_at) if clearing else None,
                }
            )
        return found

    def reports(self) -> list[Values]:
        """Papers of cleared gates; superseded where the gate has reopened."""
        rows = Report.objects.filter(clearing__gate__task__project=self.holding.project)
        return [
            {
                "gate": row.clearing.gate.key,
                "text": row.clearing.gate.derived.get("text", {}),
                "kind": row.kind,
                "round": row.clearing.round,
                "cleared_at": moment_of(row.clearing.cleared_at),
                "superseded": row.clearing.reopened_at is not None,
                "code": row.code,
                "language": row.language,
                "paper": row.paper,
                "sha256": row.blob.sha256,
                "size": row.blob.size,
            }
            for row in rows.select_related("clearing__gate", "blob").order_by("clearing__cleared_at", "code")
        ]

    def questions(self) -> list[Values]:
        """Those that wait for an answer: the fact is not known."""
        entries = self.holding.newest_entry
        return [
            {
                "fact": row.fact,
                "text": row.derived.get("text", {}),
                "decides": row.derived.get("decides", ""),
                "tasks": row.derived.get("tasks", []),
            }
            for row in sorted(self.holding.questions, key=lambda row: row.fact)
            if row.fact not in entries or entries[row.fact].state != "known"
        ]

    def companies(self) -> list[Values]:
        """With telephones: the owner calls them when something fails."""
        phones = {row.trade: row.company.phone for row in self.holding.assignments}
        return [{**each, "phone": phones[each["trade"]]} for each in super().companies()]

    def people(self) -> list[Values]:
        """Whoever stands for a role on the site, by role."""
        rows = [row for row in self.holding.memberships if row.role in CONTACTS]
        found = {
            (CONTACTS.index(row.role), row.deputy, row.person.name): {
                "role": row.role,
                "deputy": row.deputy,
                "name": row.person.name,
                "company": row.company.name,
                "phone": row.person.phone,
            }
            for row in rows
        }
        return [found[key] for key in sorted(found)]

    def said(self) -> dict[str, Values]:
        """By item of the final list, what was said of it last."""
        rows = ItemWord.objects.filter(project=self.holding.project).select_related("blob").order_by("pk")
        return {
            row.item: {
                "state": row.state,
                "words": row.words,
                "day": day_of(row.day),
                "file_name": row.file_name,
                "sha256": row.blob.sha256 if row.blob else None,
                "size": row.blob.size if row.blob else None,
                "media_type": row.blob.media_type if row.blob else None,
                "name": row.name,
                "at": moment_of(row.at),
            }
            for row in rows
        }
