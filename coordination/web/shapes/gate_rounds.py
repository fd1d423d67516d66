"""The rounds of a gate: when it was cleared, why it reopened, who is at work behind it, its reports."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.utils.text import capfirst

from coordination.gates.queries import Scene, clearings
from coordination.gates.sentences import Names, cause_words
from coordination.handover.queries import Round
from coordination.projects.models import Gate


@dataclass(frozen=True)
class Behind:
    """Work that goes on behind a gate that reopened."""

    task: str
    company: str
    phone: str


@dataclass(frozen=True)
class RoundLine:
    """One round of the gate: when it was cleared, why it reopened, who is at work behind it now, its reports."""

    number: int
    cleared_at: datetime
    reopened_at: datetime | None
    causes: tuple[str, ...]
    behind: tuple[Behind, ...]
    round: Round | None


def round_lines(scene: Scene, gate: Gate, made: Iterable[Round]) -> list[RoundLine]:
    """Every round, newest first. Who is at work behind is told with the newest one, once it has reopened."""
    names = Names(scene.holding)
    papers = {str(item.clearing_uid): item for item in made}
    lines = []
    for place, view in enumerate(clearings(scene, gate)):
        working = view.at_work if view.superseded and place == 0 else ()
        lines.append(
            RoundLine(
                number=view.round,
                cleared_at=view.cleared_at,
                reopened_at=view.reopened_at,
                causes=tuple(capfirst(cause_words(cause, names)) for cause in view.because),
                behind=tuple(Behind(names.task(one.task), one.company, one.phone) for one in working),
                round=papers.get(view.uid),
            )
        )
    return lines
