"""The papers that a calculation may be handed in for: asked of work that has begun, and not there yet."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.utils.translation import gettext as _

from coordination.access.visitors import Visitor
from coordination.gates.queries import look_at
from coordination.gates.sentences import of_task
from coordination.web.shapes.needs import needs_of
from coordination.web.shapes.task_sheets import company_entered_for


@dataclass(frozen=True)
class DesignNeed:
    """One paper. ``for_company`` is None where the work is the visitor's own; ``terms_sha`` is what the page showed."""

    requirement: UUID
    task: UUID
    words: str
    for_company: str | None
    terms_sha: str

    @property
    def value(self) -> str:
        return f"{self.requirement}:{self.terms_sha}"


@dataclass(frozen=True)
class DesignTask:
    """A task beside which a calculation can be kept, whether or not it asks for a paper."""

    uid: UUID
    words: str


def design_tasks(visitor: Visitor, at: datetime) -> list[DesignTask]:
    """Every standing task of the visitor's project, by its name."""
    tasks = look_at(visitor.project, at).holding.tasks
    standing = [task for task in tasks if task.retired_in is None and not task.is_gate]
    return sorted((DesignTask(task.uid, of_task(task)) for task in standing), key=lambda task: task.words)


def design_needs(visitor: Visitor, at: datetime) -> list[DesignNeed]:
    """Every paper that the visitor may hand in now, except an authority's own."""
    scene = look_at(visitor.project, at)
    found = []
    for task in scene.holding.tasks:
        if task.retired_in is not None or task.is_gate or task.begun_on is None:
            continue
        company = company_entered_for(task, scene, visitor)
        for need in needs_of(task, scene, visitor):
            if need.form_kind == "document" and need.open and not need.release:
                told = {"task": of_task(task), "paper": need.text}
                words = _("%(task)s: %(paper)s") % told
                found.append(DesignNeed(need.uid, task.uid, words, company, need.terms_sha))
    return found
