"""The site-ready statement that the contractor signs, and the word that lets the crew come."""

from datetime import datetime
from uuid import UUID, uuid4, uuid5

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import NotVisible, Reason, Refusal
from coordination.access.visitors import Visitor
from coordination.dates.models import Confirmation, SiteStatement, Visit
from coordination.dates.refusals import VisitMoved, VisitNoGo
from coordination.evidence.actions import hand_in
from coordination.evidence.items import HandIn
from coordination.gates.calendars import local_day
from coordination.gates.refusals import SayWhy
from coordination.gates.scene import Scene, look_at
from coordination.gates.visits import STATEMENT_WORK, newest_statement, no_go, proof_of, void_of
from coordination.projects.models import Requirement
from coordination.record.chaining import canonical


def sign_site_ready(
    project: Project,
    visitor: Visitor,
    at: datetime,
    visit_uid: UUID,
    *,
    words: str,
    seen_digest: str = "",
    seen_charge: int | None = None,
) -> SiteStatement:
    """Sign that the site is ready for a booked visit, with the charge for a wasted trip that the booking names.

    ``seen_digest`` and ``seen_charge`` are those of the page that was read: where they moved since, nothing is signed.
    The same standing signed already by the same person, nothing changes. The signature is also handed in for the
    requirement that asks for it, where that work has begun.
    Raises NotAllowed, NotVisible, VisitMoved, SayWhy, VisitNoGo naming what is missing.
    """
    require(visitor, "sign the site-ready statement")
    if not words.strip():
        raise SayWhy(Reason("say what is signed"))
    with deciding(project, visitor, at) as pen:
        visit = _standing(project, visit_uid)
        scene = look_at(project, at)
        proof = proof_of(scene, visit.key)
        if proof.missing:
            raise VisitNoGo(*proof.missing)
        moved = seen_digest not in ("", proof.digest) or seen_charge not in (None, visit.wasted_trip_cents)
        if moved:
            raise VisitNoGo(Reason("statement moved on"))
        signed = newest_statement(visit)
        charge, today = visit.wasted_trip_cents, local_day(project, at)
        if (
            signed
            and signed.signed_by == visitor.identity
            and not void_of(signed, visit, proof, charge, today)
        ):
            pen.leave_as_it_is()
            return signed
        uid = uuid4()
        told = {"statement": words.strip(), "day": visit.day.isoformat(), "charge_cents": charge}
        body = {**told, "signed": str(uid), "visit": str(visit.uid), "digest": proof.digest}
        event = pen.write("site-ready statement signed", subject=visit.key, body=body)
        signed = SiteStatement.objects.create(
            uid=uid,
            visit=visit,
            charge_cents=charge,
            digest=proof.digest,
            read=canonical(proof.read),
            words=words.strip(),
            signed_by=visitor.identity,
            signed_name=visitor.name,
            company=visitor.company_name,
            at=at,
            event=event,
        )
    _hand_in_signature(scene, visitor, at, signed)
    return signed


def confirm_visit(project: Project, visitor: Visitor, at: datetime, visit_uid: UUID) -> Confirmation:
    """Let the crew come on the day that is booked. Confirmed already, nothing changes.

    Refused while anything on the go/no-go list is missing, whatever a forecast says.
    Raises NotAllowed, NotVisible, VisitMoved, VisitNoGo naming everything that is missing.
    """
    require(visitor, "book a visit")
    with deciding(project, visitor, at) as pen:
        visit = _standing(project, visit_uid)
        confirmed = Confirmation.objects.filter(visit=visit).first()
        if confirmed is not None:
            pen.leave_as_it_is()
            return confirmed
        if held := [*no_go(look_at(project, at), visit.key), *_statement_missing(visit, at)]:
            raise VisitNoGo(*held)
        body = {"visit": str(visit.uid), "day": visit.day.isoformat()}
        event = pen.write("visit confirmed", subject=visit.key, body=body)
        return Confirmation.objects.create(visit=visit, name=visitor.name, at=at, event=event)


def _statement_missing(visit: Visit, at: datetime) -> list[Reason]:
    """Why the signed statement does not count, if it does not."""
    signed = newest_statement(visit)
    if signed is None:
        return [Reason("no statement signed")]
    proof = proof_of(look_at(visit.project, at), visit.key)
    void = void_of(signed, visit, proof, visit.wasted_trip_cents, local_day(visit.project, at))
    return [Reason("statement does not count")] if void else []


def _standing(project: Project, visit_uid: UUID) -> Visit:
    visit = Visit.objects.select_related("project").filter(project=project, uid=visit_uid).first()
    if visit is None:
        raise NotVisible
    if visit.moved_at is not None:
        raise VisitMoved(Reason("moved already"))
    return visit


def _hand_in_signature(scene: Scene, visitor: Visitor, at: datetime, signed: SiteStatement) -> None:
    """The signature as evidence of the work that asks for it, once; where that is not possible yet, it stays undone."""
    row = _asked(scene)
    if row is None or scene.holding.shown[row.pk].outcome != "none":
        return
    item = HandIn(uuid5(signed.uid, "signature"), typed=visitor.name, sent_at=at)
    try:
        hand_in(scene.holding.project, visitor, at, row.uid, item)
    except Refusal:
        return


def _asked(scene: Scene) -> Requirement | None:
    """The requirement that asks for the statement, where its work has begun."""
    holding = scene.holding
    for task in holding.tasks:
        if task.entry == STATEMENT_WORK and task.begun_on is not None and task.retired_in is None:
            return next((row for row in holding.requirements_of[task.pk] if row.key == "statement"), None)
    return None
