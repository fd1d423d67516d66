"""What the rules are checked against: every row of a project beside the record that must explain it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any

from coordination.access.models import Project
from coordination.evidence.models import Evidence, Mark, MarkNamed, MarkTakenBack, Review
from coordination.gates.models import (
    Answer,
    AnswerMark,
    AnswerMarkReason,
    AnswerMarkTakenBack,
    Clearing,
    Concession,
    Offer,
    Signature,
    Voice,
)
from coordination.gates.scene import Scene, look_at
from coordination.record.queries import Decision, decisions


@dataclass(frozen=True, order=True)
class Breach:
    """A rule of the ten that does not hold: which, a key of what is wrong, about what, and the particulars."""

    rule: int
    kind: str
    subject: str
    details: str = ""


@dataclass
class Case:
    """One project: what stands now, and everything that was decided. Withdrawn and retired rows are here too."""

    project: Project
    at: datetime
    scene: Scene
    decisions: list[Decision]

    @cached_property
    def by_seq(self) -> dict[int, Decision]:
        return {decision.seq: decision for decision in self.decisions}

    @cached_property
    def evidence(self) -> list[Evidence]:
        rows = Evidence.objects.filter(requirement__task__project=self.project)
        return list(rows.select_related("event", "blob", "requirement__task").order_by("pk"))

    @cached_property
    def reviews(self) -> list[Review]:
        rows = Review.objects.filter(evidence__requirement__task__project=self.project)
        return list(rows.select_related("event", "evidence__requirement__task").order_by("pk"))

    @cached_property
    def marks(self) -> list[Mark]:
        rows = Mark.objects.filter(evidence__requirement__task__project=self.project)
        return list(rows.select_related("event", "evidence__requirement__task").order_by("pk"))

    @cached_property
    def marks_taken_back(self) -> list[MarkTakenBack]:
        rows = MarkTakenBack.objects.filter(mark__evidence__requirement__task__project=self.project)
        return list(rows.select_related("event", "mark__evidence__requirement__task").order_by("pk"))

    @cached_property
    def marks_named(self) -> list[MarkNamed]:
        rows = MarkNamed.objects.filter(mark__evidence__requirement__task__project=self.project)
        return list(rows.select_related("event", "mark__evidence__requirement__task").order_by("pk"))

    @cached_property
    def refusal_marks(self) -> list[AnswerMark]:
        rows = AnswerMark.objects.filter(photo__answer__offer__task__project=self.project)
        return list(rows.select_related("event", "photo__answer__offer__task").order_by("pk"))

    def words_on_refusal_marks(
        self, words: type[AnswerMarkTakenBack] | type[AnswerMarkReason]
    ) -> list[AnswerMarkTakenBack] | list[AnswerMarkReason]:
        rows = words.objects.filter(mark__photo__answer__offer__task__project=self.project)
        return list(rows.select_related("event", "mark__photo__answer__offer__task").order_by("pk"))  # type: ignore[return-value]

    @cached_property
    def offers(self) -> list[Offer]:
        return list(Offer.objects.filter(task__project=self.project).select_related("event", "task"))

    @cached_property
    def answers(self) -> list[Answer]:
        rows = Answer.objects.filter(offer__task__project=self.project)
        return list(rows.select_related("event", "offer__task", "link__after"))

    @cached_property
    def clearings(self) -> list[Clearing]:
        rows = Clearing.objects.filter(gate__task__project=self.project)
        return list(rows.select_related("event", "gate").order_by("pk"))

    @cached_property
    def signatures(self) -> list[Signature]:
        rows = Signature.objects.filter(gate__task__project=self.project)
        return list(rows.select_related("event", "gate"))

    @cached_property
    def concessions(self) -> list[Concession]:
        rows = Concession.objects.filter(requirement__task__project=self.project)
        return list(rows.select_related("event", "requirement__task", "variance__blob").order_by("pk"))

    @cached_property
    def voices(self) -> list[Voice]:
        rows = Voice.objects.filter(concession__requirement__task__project=self.project)
        return list(rows.select_related("event", "concession__requirement__task"))

    def told(self, *verbs: str, **body: Any) -> list[Decision]:
        """Decisions with one of these verbs whose body says all of ``body``, oldest first."""
        return [
            item
            for item in self.decisions
            if item.verb in verbs and all(item.body.get(key) == value for key, value in body.items())
        ]


def open_case(project: Project, at: datetime) -> Case:
    return Case(project, at, look_at(project, at), decisions(project.stream))


def breaches(rule: int, found: Iterable[tuple[str, str, str]]) -> list[Breach]:
    return [Breach(rule, kind, subject, details) for kind, subject, details in found]
