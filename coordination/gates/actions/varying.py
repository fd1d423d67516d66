"""An authority's variance: its document lets go what nobody on the site may, with number, date and scan."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID, uuid4

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.files.models import Blob
from coordination.gates.actions.conceding import standing_and_stale, what_does_not_conform, write_voice
from coordination.gates.models import VARIANCE, Concession, Variance
from coordination.gates.refusals import NoConcession
from coordination.gates.reopening import Saying, carry_out
from coordination.gates.scene import Scene, look_at
from coordination.gates.variances import document_of, variance_of
from coordination.projects.models import Authority, Requirement
from coordination.readiness import is_satisfied
from coordination.record.models import Event

VERB = "attach an authority's document"
ROLES = ("coordinator", "contractor")


@dataclass(frozen=True)
class VariancePaper:
    """The authority's document: whose (its uid on the project), number, date and scan (see ``arrivals.take_in``).

    ``reason`` is what it allows, ``scope`` for which part of the work and on which conditions.
    """

    authority: UUID | None
    number: str
    dated: date | None
    blob: Blob | None
    reason: str
    scope: str
    file_name: str = ""
    expires_on: date | None = None


def attach_variance(
    project: Project,
    visitor: Visitor,
    at: datetime,
    requirement_uid: UUID,
    paper: VariancePaper,
) -> Concession:
    """Attach an authority's variance for a requirement that has no concession. It stands at once.

    It is kept as a concession of the kind ``variance``, so that it ends, runs out and is shown like one. The same
    document attached twice changes nothing. Raises NoConcession with every reason, NotAllowed, NotVisible, LeftThePlan.
    """
    with deciding(project, visitor, at) as pen:
        scene = look_at(project, at)
        requirement = scene.requirement(requirement_uid)
        require(visitor, VERB)
        standing, stale = standing_and_stale(requirement, scene)
        if standing is not None and _is_of(standing, paper):
            pen.leave_as_it_is()
            return standing
        _refuse_what_has_its_own_way(requirement)
        authority = _authority(project, paper)
        _refuse_what_is_not_whole(scene, requirement, paper)
        row, variance = _rows(scene, requirement, visitor, authority, paper)

        def change(event: Event) -> None:
            if stale is not None:
                Concession.objects.filter(pk=stale.pk).update(ended_at=at)
            _keep(row, variance, visitor, event, at)

        body = _body(row, variance, stale)
        carry_out(pen, project, Saying("variance attached", str(requirement), body, [row.reason]), change)
        return row


def _is_of(standing: Concession, paper: VariancePaper) -> bool:
    held = variance_of(standing)
    return held is not None and held.blob == paper.blob and held.number == paper.number.strip()


def _refuse_what_has_its_own_way(requirement: Requirement) -> None:
    about = {"subject": str(requirement)}
    if requirement.release:
        raise NoConcession(Reason("attach its own document", about))
    if requirement.concede:
        raise NoConcession(Reason("those named concede", about))


def _authority(project: Project, paper: VariancePaper) -> Authority:
    """The project's own one. Raises NoConcession where none is named, NotVisible for one of another site."""
    if paper.authority is None:
        raise NoConcession(Reason("say whose variance"))
    found = Authority.objects.filter(project=project, uid=paper.authority).first()
    if found is None:
        raise NotVisible
    return found


def _refuse_what_is_not_whole(scene: Scene, requirement: Requirement, paper: VariancePaper) -> None:
    """Raise NoConcession with everything that is wrong or missing."""
    about = {"subject": str(requirement)}
    today, until = scene.holding.today, paper.expires_on
    wrong = {
        "nothing to release": is_satisfied(scene.reading.needs[scene.holding.key_of(requirement)]),
        "variance without number": not paper.number.strip(),
        "variance without date": paper.dated is None,
        "variance not dated yet": paper.dated is not None and paper.dated > today,
        "variance without scan": paper.blob is None,
        "say what it allows": not paper.reason.strip(),
        "say how far it goes": not paper.scope.strip(),
    }
    reasons = [Reason(key, about) for key, is_wrong in wrong.items() if is_wrong]
    if until is not None and until < today:
        reasons.append(Reason("expired before it began", {**about, "day": until.isoformat()}))
    if paper.blob is not None and paper.blob.supplier != scene.holding.project.supplier.uid:
        raise NotVisible
    if reasons:
        raise NoConcession(*reasons)


def _rows(
    scene: Scene,
    requirement: Requirement,
    visitor: Visitor,
    authority: Authority,
    paper: VariancePaper,
) -> tuple[Concession, Variance]:
    """Both rows, not kept yet."""
    row = Concession(
        uid=uuid4(),
        requirement=requirement,
        kind=VARIANCE,
        reason=paper.reason.strip()[:1000],
        scope=paper.scope.strip()[:500],
        terms_sha=requirement.terms_sha,
        needs=[next(role for role in ROLES if role in visitor.roles)],
        expires_on=paper.expires_on,
        nonconformity=what_does_not_conform(scene, requirement),
    )
    variance = Variance(
        authority=authority,
        authority_kind=authority.kind,
        authority_name=authority.name,
        number=paper.number.strip()[:80],
        dated=paper.dated,
        blob=paper.blob,
        file_name=paper.file_name[:200],
    )
    return row, variance


def _keep(row: Concession, variance: Variance, visitor: Visitor, event: Event, at: datetime) -> None:
    """Keep both rows and the word of who attached it. A trial that is taken back leaves them as they were."""
    row.pk = variance.pk = None
    row.event = variance.event = event
    row.save(force_insert=True)
    variance.concession = row
    variance.save(force_insert=True)
    write_voice(row, visitor, row.needs[0], event, at)


def _body(row: Concession, variance: Variance, stale: Concession | None) -> dict[str, Any]:
    told: dict[str, Any] = {
        "concession": str(row.uid),
        "kind": row.kind,
        "role": row.needs[0],
        "reason": row.reason,
        "scope": row.scope,
        "terms_sha": row.terms_sha,
        "expires_on": row.expires_on.isoformat() if row.expires_on else None,
        "nonconformity": str(row.nonconformity.uid) if row.nonconformity else None,
        **document_of(variance),
    }
    return told if stale is None else {**told, "in_place_of": str(stale.uid)}
