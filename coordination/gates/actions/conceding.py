"""Concessions (after the work) and deviation permits (before it): ISO 9000:2015, 3.12.5 and 3.12.6."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import ANYTHING, Scope, require
from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.evidence.models import Evidence
from coordination.gates.bringing_back import bring_back_unless_shown
from coordination.gates.models import VARIANCE, Concession, Voice
from coordination.gates.refusals import NoConcession, SayWhy
from coordination.gates.reopening import Saying, carry_out
from coordination.gates.scene import Scene, look_at
from coordination.projects.models import Requirement
from coordination.readiness import is_satisfied
from coordination.record.actions import Pen
from coordination.record.models import Event


@dataclass(frozen=True)
class _Plea:
    """What a role asks to let go, and on which grounds."""

    kind: str
    reason: str
    scope: str
    expires_on: date | None
    quantity: str = ""

    def agrees_with(self, standing: Concession) -> bool:
        """A second voice is for the same thing; what it leaves empty it takes as it stands."""
        return (
            self.kind in ("", standing.kind)
            and self.scope in ("", standing.scope)
            and self.quantity in ("", standing.quantity)
            and (self.expires_on is None or self.expires_on == standing.expires_on)
        )


@dataclass(frozen=True)
class _Speaker:
    """Who speaks, and for which role."""

    visitor: Visitor
    role: str


def grant_concession(
    project: Project,
    visitor: Visitor,
    at: datetime,
    requirement_uid: UUID,
    *,
    kind: str = "",
    reason: str,
    scope: str = "",
    expires_on: date | None = None,
    quantity: str = "",
    role: str = "",
) -> Concession:
    """Speak for one role. The concession stands when every role that the requirement names has spoken.

    The kind follows from the work: before it begins it is a deviation permit, afterwards a concession; ``kind`` says
    which of them somebody has in mind. It is limited by a day, a ``quantity`` or neither, and names what was shown and
    does not conform. ``role`` is needed only by somebody who holds several of them. Speaking twice is harmless.
    Raises NoConcession with every reason, SayWhy, NotAllowed, NotVisible, LeftThePlan.
    """
    plea = _Plea(kind, reason.strip(), scope.strip(), expires_on, quantity.strip())
    with deciding(project, visitor, at) as pen:
        scene = look_at(project, at)
        requirement = scene.requirement(requirement_uid)
        _refuse_what_has_none(requirement)
        require(visitor, "grant a concession", Scope(concede=tuple(requirement.concede)))
        standing, stale = standing_and_stale(requirement, scene)
        if standing is not None and _has_spoken(standing, visitor):
            pen.leave_as_it_is()
            return standing
        _refuse_what_does_not_fit(scene, requirement, plea, standing)
        speaking = _role(requirement, visitor, standing, role)
        return _speak(
            pen, standing or _new(scene, requirement, plea), plea, _Speaker(visitor, speaking), stale
        )


def end_concession(
    project: Project, visitor: Visitor, at: datetime, concession_uid: UUID, reason: str
) -> Concession:
    """Take a concession back: gates that rested on it reopen. Ending it twice is harmless.

    Raises SayWhy, NotAllowed, NotVisible.
    """
    if not reason.strip():
        raise SayWhy(Reason("say why ended"))
    with deciding(project, visitor, at) as pen:
        rows = Concession.objects.select_related("requirement__task")
        concession = rows.filter(uid=concession_uid, requirement__task__project=project).first()
        if concession is None:
            raise NotVisible
        require(visitor, *right_to_end(concession, concession.requirement.concede))
        if concession.ended_at is not None:
            pen.leave_as_it_is()
            return concession
        end(pen, concession, "concession ended", reason.strip())
        return concession


def right_to_end(concession: Concession, concede: Sequence[str]) -> tuple[str, Scope]:
    """The verb that takes it back, and what it is about: a variance by whoever attaches an authority's document."""
    if concession.kind == VARIANCE:
        return "attach an authority's document", ANYTHING
    return "grant a concession", Scope(concede=tuple(concede))


def end(pen: Pen, concession: Concession, verb: str, reason: str) -> None:
    """End a concession inside a block that has found it standing."""
    requirement = concession.requirement
    project = requirement.task.project

    def change(event: Event) -> None:
        Concession.objects.filter(pk=concession.pk, ended_at__isnull=True).update(ended_at=pen.at)
        bring_back_unless_shown(project, requirement, pen.at)

    body = {"concession": str(concession.uid), "requirement": str(requirement), "reason": reason}
    carry_out(pen, project, Saying(verb, str(requirement), body, [reason]), change)
    concession.ended_at = pen.at


def _refuse_what_has_none(requirement: Requirement) -> None:
    about = {"subject": str(requirement), "authority": requirement.release}
    if requirement.release:
        raise NoConcession(Reason("only the authority releases", about))
    if not requirement.concede:
        raise NoConcession(Reason("nobody may concede", about))


def standing_and_stale(requirement: Requirement, scene: Scene) -> tuple[Concession | None, Concession | None]:
    """The concession that stands or is being asked for; and one for other terms or with its time over."""
    found = next(
        (
            row
            for row in scene.holding.concessions
            if row.requirement_id == requirement.pk and row.ended_at is None
        ),
        None,
    )
    if found is None:
        return None, None
    lapsed = found.expires_on is not None and found.expires_on < scene.holding.today
    return (None, found) if lapsed or found.terms_sha != requirement.terms_sha else (found, None)


def _has_spoken(standing: Concession, visitor: Visitor) -> bool:
    return Voice.objects.filter(concession=standing, spoken_by=visitor.identity).exists()


def _refuse_what_does_not_fit(
    scene: Scene, requirement: Requirement, plea: _Plea, standing: Concession | None
) -> None:
    about = {"subject": scene.holding.key_of(requirement)}
    right = _right_kind(scene, requirement)
    reasons = []
    if is_satisfied(scene.reading.needs[about["subject"]]):
        reasons.append(Reason("nothing to concede", about))
    if not plea.reason:
        reasons.append(Reason("say why conceded", about))
    if standing is None and plea.kind not in ("", right):
        reasons.append(Reason("wrong kind", {**about, "right": right, "typed": plea.kind}))
    if standing is None and not plea.scope:
        reasons.append(Reason("say the scope", about))
    if plea.expires_on is not None and plea.expires_on < scene.holding.today:
        reasons.append(Reason("expired before it began", {**about, "day": plea.expires_on.isoformat()}))
    if standing is not None and not plea.agrees_with(standing):
        reasons.append(Reason("another concession stands", {**about, "scope": standing.scope}))
    if reasons:
        raise NoConcession(*reasons)


def _role(requirement: Requirement, visitor: Visitor, standing: Concession | None, asked: str) -> str:
    """The role the visitor speaks for: one of theirs that the requirement names and that is still silent."""
    spoken = set()
    if standing is not None:
        spoken = set(Voice.objects.filter(concession=standing).values_list("role", flat=True))
    held = [role for role in requirement.concede if role in visitor.roles]
    free = [role for role in held if role not in spoken and asked in ("", role)]
    if not free:
        raise NoConcession(Reason("role has spoken", {"subject": str(requirement), "role": asked or held[0]}))
    return free[0]


def _speak(
    pen: Pen, concession: Concession, plea: _Plea, speaker: _Speaker, stale: Concession | None
) -> Concession:
    """Write the voice; with the first one the concession itself, ending a stale one in its place."""
    before = set(Voice.objects.filter(concession=concession.pk).values_list("role", flat=True))
    complete = set(concession.needs) <= before | {speaker.role}
    verb = "concession granted" if complete else "concession spoken for"
    body = _body(concession, plea, speaker.role)
    if stale is not None:
        body["in_place_of"] = str(stale.uid)
        Concession.objects.filter(pk=stale.pk).update(ended_at=pen.at)
    event = pen.write(verb, subject=str(concession.requirement), body=body)
    if concession.pk is None:
        concession.event = event
        concession.save(force_insert=True)
    write_voice(concession, speaker.visitor, speaker.role, event, pen.at)
    return concession


def write_voice(concession: Concession, visitor: Visitor, role: str, event: Event, at: datetime) -> None:
    """Keep the visitor's word for ``role`` as part of ``event``."""
    Voice.objects.create(
        concession=concession,
        role=role,
        spoken_by=visitor.identity,
        spoken_name=visitor.name,
        at=at,
        event=event,
    )


def _right_kind(scene: Scene, requirement: Requirement) -> str:
    """ISO 9000:2015: a deviation permit is given before the work (3.12.6), a concession after it (3.12.5)."""
    begun = scene.holding.task[requirement.task_id].begun_on is not None
    return "concession" if begun else "deviation permit"


def what_does_not_conform(scene: Scene, requirement: Requirement) -> Evidence | None:
    """What was shown last; None before the work."""
    counted = scene.holding.shown[requirement.pk].counted
    return counted[-1].evidence if counted else None


def _new(scene: Scene, requirement: Requirement, plea: _Plea) -> Concession:
    return Concession(
        requirement=requirement,
        kind=_right_kind(scene, requirement),
        quantity=plea.quantity[:200],
        nonconformity=what_does_not_conform(scene, requirement),
        reason=plea.reason[:1000],
        scope=plea.scope[:500],
        terms_sha=requirement.terms_sha,
        needs=list(requirement.concede),
        expires_on=plea.expires_on,
    )


def _body(concession: Concession, plea: _Plea, role: str) -> dict[str, Any]:
    return {
        "concession": str(concession.uid),
        "kind": concession.kind,
        "role": role,
        "reason": plea.reason,
        "scope": concession.scope,
        "terms_sha": concession.terms_sha,
        "needs": list(concession.needs),
        "expires_on": concession.expires_on.isoformat() if concession.expires_on else None,
        "quantity": concession.quantity,
        "nonconformity": str(concession.nonconformity.uid) if concession.nonconformity else None,
    }
