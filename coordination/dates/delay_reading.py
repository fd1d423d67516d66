"""From the record to causes: what stands behind the days that a task waited or took longer.

The rule, task by task: days that somebody entered a cause for come first, then what the record shows by itself (an
answer that came while the work waited, a refusal and the time until it was handed in again, an acceptance that it
waited for, a gate that could have been cleared), and what is left is the work's own pace. So no day is counted twice.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any, Final
from zoneinfo import ZoneInfo

from coordination.access.models import Project
from coordination.access.queries import assignments
from coordination.dates.models import DelayCause
from coordination.projects.models import Gate, Question, Task
from coordination.record.models import Event
from coordination.scheduling.attribution import Cause, Part
from coordination.scheduling.network import Network

ANSWERED = ("question answered", "facts entered", "authority set")
REFUSED = ("evidence refused", "handoff refused")
ACCEPTED = ("evidence accepted", "handoff accepted")
AGAIN = ("evidence handed in", "work offered", "work done")
PLAN = "plan accepted"
# Which company speaks where a role is named.
TRADE_OF_ROLE: Final[Mapping[str, str]] = {
    "contractor": "general contractor",
    "coordinator": "lift",
    "lift crew": "lift",
}


@dataclass(frozen=True)
class Told:
    """One decision of the record: when on site, what, about which task or fact, and whose company."""

    day: date
    verb: str
    subject: str
    company: str
    facts: tuple[str, ...] = ()


@dataclass(frozen=True)
class Behind:
    """A cause as it is told. ``kind`` is one of KINDS or of what people enter; ``subject`` a task or fact.

    ``party`` is ``company:NAME``, ``role:ROLE``, ``trade:TRADE`` or empty for nobody on site.
    """

    key: str
    kind: str
    subject: str
    party: str
    words: str = ""
    parts: tuple[Part, ...] = field(default_factory=tuple)

    @property
    def cause(self) -> Cause:
        return Cause(self.key, self.party, self.parts)

    @property
    def days(self) -> int:
        """Working days that it cost the tasks themselves, whatever became of the end."""
        return sum(part.days for part in self.parts)


KINDS = (
    "late answer",
    "refused work",
    "late acceptance",
    "gate",
    "began later",
    "took longer",
    "went faster",
)


class Reading:
    """The record of one project, read for causes: five queries."""

    def __init__(self, project: Project) -> None:
        zone = ZoneInfo(project.zone)
        verbs = (*ANSWERED, *REFUSED, *ACCEPTED, *AGAIN, PLAN)
        events = Event.objects.filter(stream=project.stream, verb__in=verbs).order_by("seq")
        self.told = [_told(event, zone) for event in events]
        self.entered = list(
            DelayCause.objects.filter(project=project, taken_back_at__isnull=True).order_by("pk")
        )
        self.companies = {trade: company.name for trade, company in assignments(project).items()}
        self.trades = dict(Task.objects.filter(project=project).values_list("key", "trade"))
        self.clears = dict(Gate.objects.filter(task__project=project).values_list("task__key", "clears"))
        self.waiting = {
            question.fact: (set(question.derived["tasks"]), question.decides)
            for question in Question.objects.filter(project=project)
        }

    def behind(self, parts: Iterable[Part], network: Network, begin: date, end: date) -> list[Behind]:
        """The causes of ``parts`` in the window from ``begin`` to ``end``; a cause of several tasks comes once."""
        found: dict[str, Behind] = {}
        for part in parts:
            for one in self._of_part(part, network, begin, end):
                known = found.get(one.key)
                found[one.key] = replace(known, parts=(*known.parts, *one.parts)) if known else one
        return list(found.values())

    def changes(self, begin: date, end: date) -> tuple[tuple[str, ...], int]:
        """The facts stated in a window, and how many changes of plan were accepted in it."""
        within = [told for told in self.told if begin < told.day <= end]
        facts = dict.fromkeys(fact for told in within if told.verb in ANSWERED for fact in told.facts)
        return tuple(facts), sum(told.verb == PLAN for told in within)

    def _of_part(self, part: Part, network: Network, begin: date, end: date) -> Iterable[Behind]:
        if part.days < 0:
            yield Behind(
                f"faster {part.task}", "went faster", part.task, self._doer(part.task), parts=(part,)
            )
            return
        left, first = part.days, part.first
        calendar = network.calendars[network.tasks[network.position[part.task]].calendar]
        reasons = self._entered(part, begin, end) + (
            self._while_waiting(part, network, end) if part.kind == "wait" else self._while_working(part, end)
        )
        for one, until in reasons:
            days = until if isinstance(until, int) else calendar.count(first, until)
            if (taken := min(left, days)) > 0:
                yield replace(one, parts=(replace(part, days=taken, first=first),))
                left, first = left - taken, calendar.add(first, taken)
        if left > 0:
            yield replace(self._own(part), parts=(replace(part, days=left, first=first),))

    def _entered(self, part: Part, begin: date, end: date) -> list[tuple[Behind, int | date]]:
        """What people entered for the task, as days."""
        return [
            (Behind(f"entered {row.uid}", row.kind, part.task, "", row.words), row.days)
            for row in self.entered
            if row.task == part.task and begin <= row.first <= end
        ]

    def _while_waiting(self, part: Part, network: Network, end: date) -> list[tuple[Behind, int | date]]:
        """Answers and acceptances that came while the task waited, as the day until which they were waited for."""
        last = network.calendars[network.tasks[network.position[part.task]].calendar].add(
            part.first, part.days
        )
        came = [told for told in self.told if part.first < told.day <= min(last, end)]
        found: list[tuple[Behind, int | date]] = []
        for told in came:
            for fact in told.facts if told.verb in ANSWERED else ():
                tasks, decides = self.waiting.get(fact, (set(), ""))
                if part.task in tasks:
                    found.append(
                        (Behind(f"answer {fact}", "late answer", fact, self._role(decides)), told.day)
                    )
        before = {link.before for link in network.links if link.after == part.task}
        accepted = [told for told in came if told.verb in ACCEPTED and _task(told.subject) in before]
        if accepted:
            newest = accepted[-1]
            task = _task(newest.subject)
            party = f"company:{newest.company}" if newest.company else ""
            found.append((Behind(f"acceptance {task}", "late acceptance", task, party), newest.day))
        return sorted(found, key=lambda pair: str(pair[1]))

    def _while_working(self, part: Part, end: date) -> list[tuple[Behind, int | date]]:
        """Refusals of the work, as the day on which it was handed in again."""
        own = [
            told for told in self.told if _task(told.subject) == part.task and part.first <= told.day <= end
        ]
        found: list[tuple[Behind, int | date]] = []
        for number, told in enumerate(own):
            if told.verb in REFUSED:
                again = next((later.day for later in own[number + 1 :] if later.verb in AGAIN), end)
                one = Behind(f"refused {part.task}", "refused work", part.task, self._doer(part.task))
                found.append((one, max(1, (again - told.day).days)))
        return found

    def _own(self, part: Part) -> Behind:
        if part.task in self.clears:
            party = self._role(self.clears[part.task])
            return Behind(f"gate {part.task}", "gate", part.task, party)
        kind = "began later" if part.kind == "wait" else "took longer"
        return Behind(f"{kind} {part.task}", kind, part.task, self._doer(part.task))

    def _doer(self, task: str) -> str:
        trade = self.trades.get(task, "")
        company = self.companies.get(trade)
        return f"company:{company}" if company else f"trade:{trade}"

    def _role(self, role: str) -> str:
        company = self.companies.get(TRADE_OF_ROLE.get(role, ""))
        return f"company:{company}" if company else f"role:{role}"


def _told(event: Event, zone: ZoneInfo) -> Told:
    body: dict[str, Any] = json.loads(event.body)
    return Told(
        day=datetime.fromisoformat(event.claimed_at or event.at).astimezone(zone).date(),
        verb=event.verb,
        subject=event.subject,
        company=str(json.loads(event.actor).get("company", "")),
        facts=tuple(body.get("facts") or ()),
    )


def _task(subject: str) -> str:
    return subject.partition("#")[0]
