"""Who stands on a project, and which company does a trade's work."""

import uuid
from collections.abc import Collection
from datetime import datetime

from coordination.access.deciding import deciding
from coordination.access.models import ROLES, Assignment, Company, Membership, Person, Project
from coordination.access.permissions import require
from coordination.access.refusals import CannotBeSo, CannotLeave, NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.siteprep.catalogue import load_catalogue

OF_THE_SUPPLIER = frozenset({"coordinator", "lift crew"})


def add_member(
    project: Project,
    visitor: Visitor,
    at: datetime,
    *,
    person: Person,
    company: Company,
    role: str,
    trade: str = "",
    deputy: bool = False,
    known: Collection[str] = (),
) -> Membership:
    """Let ``person`` stand on the project in ``role``; standing there already, nothing changes.

    Only a coordinator adds a coordinator or a lift crew. ``known`` are the project's trades where its own rules
    name more than the catalogue. Raises NotAllowed, CannotBeSo, NotVisible.
    """
    require(visitor, _verb_for(role))
    _refuse_what_cannot_be(role, trade, known or trades())
    _refuse_a_stranger(project, company)
    with deciding(project, visitor, at) as pen:
        standing = Membership.objects.filter(project=project, person=person, role=role, trade=trade)
        if known := standing.filter(left_at__isnull=True).first():
            pen.leave_as_it_is()
            return known
        uid = uuid.uuid4()
        told = {"role": role, "trade": trade, "deputy": deputy}
        about = {"person": person.name, "company": company.name, "company_uid": str(company.uid)}
        event = pen.write("member added", subject=str(uid), body={**told, **about})
        return Membership.objects.create(
            uid=uid, project=project, person=person, company=company, event=event, **told
        )


def end_membership(project: Project, visitor: Visitor, at: datetime, membership_uid: uuid.UUID) -> None:
    """End a standing at once. Raises NotVisible, NotAllowed, or CannotLeave for the last coordinator."""
    with deciding(project, visitor, at) as pen:
        standings = Membership.objects.filter(project=project).select_related("person")
        membership = standings.filter(uid=membership_uid).first()
        if membership is None:
            raise NotVisible
        require(visitor, _verb_for(membership.role))
        if not Membership.objects.filter(pk=membership.pk, left_at__isnull=True).update(left_at=at):
            pen.leave_as_it_is()
            return
        if not standings.filter(role="coordinator", left_at__isnull=True).exists():
            raise CannotLeave(Reason("last coordinator", {"name": membership.person.name}))
        pen.write(
            "member left",
            subject=str(membership_uid),
            body={"person": membership.person.name, "role": membership.role, "trade": membership.trade},
        )


def assign_company(
    project: Project,
    visitor: Visitor,
    at: datetime,
    *,
    trade: str,
    company: Company,
    known: Collection[str] = (),
) -> Assignment:
    """Give a trade's work to a company; the one that had it has it no longer. ``known`` as for ``add_member``.

    Raises NotAllowed, CannotBeSo, NotVisible for a company of another supplier.
    """
    require(visitor, "assign a company")
    _refuse_unknown(trade, known or trades())
    _refuse_a_stranger(project, company)
    with deciding(project, visitor, at) as pen:
        standing = Assignment.objects.filter(project=project, trade=trade, ended_at__isnull=True)
        before = standing.select_related("company").first()
        if before is not None and before.company_id == company.pk:
            pen.leave_as_it_is()
            return before
        standing.update(ended_at=at)
        body = {"company": company.name, "company_uid": str(company.uid), "before": _name_of(before)}
        event = pen.write("company assigned", subject=trade, body=body)
        return Assignment.objects.create(project=project, trade=trade, company=company, event=event)


def _name_of(assignment: Assignment | None) -> str:
    return assignment.company.name if assignment else ""


def _verb_for(role: str) -> str:
    return "add a member for the supplier" if role in OF_THE_SUPPLIER else "add a member"


def _refuse_what_cannot_be(role: str, trade: str, known: Collection[str]) -> None:
    if role not in ROLES:
        raise CannotBeSo(Reason("no such role", {"typed": role, "choices": ", ".join(ROLES)}))
    if role == "subcontractor" and not trade:
        raise CannotBeSo(Reason("a subcontractor names a trade"))
    if trade:
        _refuse_unknown(trade, known)


def trades() -> tuple[str, ...]:
    """The trades that work can be of, in the catalogue's order."""
    return tuple(load_catalogue().trades)


def _refuse_unknown(trade: str, known: Collection[str]) -> None:
    if trade not in known:
        raise CannotBeSo(Reason("no such trade", {"typed": trade, "choices": ", ".join(known)}))


def _refuse_a_stranger(project: Project, company: Company) -> None:
    if company.supplier_id != project.supplier_id:
        raise NotVisible
