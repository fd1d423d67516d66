"""What a decision looks at, inside its block: one project's holding, its standing and the judgement of it."""

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from uuid import UUID

from coordination.access.models import Project
from coordination.access.refusals import NotVisible, Reason
from coordination.gates.calendars import local_day
from coordination.gates.holding import Holding
from coordination.gates.loading import load
from coordination.gates.reading import Reading
from coordination.gates.refusals import LeftThePlan, NotAPieceOfWork
from coordination.gates.standing import standing_of
from coordination.projects.models import Gate, Requirement, Task
from coordination.readiness import Assessment, Standing, TaskReadiness, assess


@dataclass
class Scene:
    """A holding with everything that follows from it, each worked out once."""

    holding: Holding

    @cached_property
    def reading(self) -> Reading:
        return Reading(self.holding)

    @cached_property
    def standing(self) -> Standing:
        return standing_of(self.holding, self._digest)

    @cached_property
    def assessment(self) -> Assessment:
        return assess(self.standing)

    def _digest(self, gate: Gate) -> str:
        """The reading is a judgement of its own: made only where there are signatures to compare it with."""
        return self.reading.digest(gate)

    def work(self, uid: UUID) -> Task:
        """A live task that is no gate. Raises NotVisible, LeftThePlan, NotAPieceOfWork."""
        task = next((row for row in self.holding.tasks if row.uid == uid), None)
        if task is None:
            raise NotVisible
        if task.retired_in is not None:
            raise LeftThePlan(Reason("left the plan", {"subject": task.key}))
        if task.is_gate:
            raise NotAPieceOfWork(Reason("a gate is cleared", {"subject": task.key}))
        return task

    def requirement(self, uid: UUID) -> Requirement:
        """A live requirement. Raises NotVisible, LeftThePlan."""
        row = next((row for row in self.holding.requirements if row.uid == uid), None)
        if row is None:
            self._left_or_never_there(uid)
            raise NotVisible
        if self.holding.task[row.task_id].retired_in is not None:
            raise LeftThePlan(Reason("left the plan", {"subject": self.holding.key_of(row)}))
        return row

    def gate(self, uid: UUID) -> Gate:
        """A live gate. Raises NotVisible, LeftThePlan."""
        gate = next((row for row in self.holding.gates if row.uid == uid), None)
        if gate is None:
            raise NotVisible
        if self.holding.task[gate.task_id].retired_in is not None:
            raise LeftThePlan(Reason("left the plan", {"subject": gate.key}))
        return gate

    def ready(self, task: Task) -> TaskReadiness:
        return self.assessment.tasks[task.key]

    def _left_or_never_there(self, uid: UUID) -> None:
        retired = Requirement.objects.filter(uid=uid, task__project=self.holding.project).first()
        if retired is not None:
            raise LeftThePlan(Reason("left the plan", {"subject": str(retired)}))


def look_at(project: Project, at: datetime) -> Scene:
    """The project as it stands. Inside a deciding block nobody else can change it meanwhile."""
    return Scene(load([project], local_day(project, at))[project.pk])
