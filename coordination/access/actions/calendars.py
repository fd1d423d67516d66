"""Private addresses of calendars: a company's dates on one project or on all, the visits of a coordinator."""

import uuid
from datetime import datetime, timedelta

from django.conf import settings

from coordination.access.actions.links import new_token, sha256_of
from coordination.access.actions.suppliers import supplier_stream
from coordination.access.calendar_scopes import coordinated_by
from coordination.access.deciding import deciding
from coordination.access.models import Assignment, Company, Person, Project, ShareLink
from coordination.access.permissions import require
from coordination.access.refusals import CannotBeSo, NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.record.actions import deciding_on


def take_dates_along(project: Project, visitor: Visitor, at: datetime) -> tuple[ShareLink, str]:
    """A calendar of the visitor's own company on the project. It ends with the standing that asked for it.

    Raises NotAllowed, CannotBeSo for a visitor without a company.
    """
    require(visitor, "take dates along")
    if visitor.company is None:
        raise CannotBeSo(Reason("a link to tasks names a company"))
    token, uid = new_token(), uuid.uuid4()
    with deciding(project, visitor, at) as pen:
        told = {"purpose": "calendar", "company": visitor.company_name, "holder": visitor.name}
        event = pen.write("link sent", subject=str(uid), body=told)
        kind, _, identity = visitor.identity.partition(":")
        through = ShareLink.objects.get(uid=identity) if kind == "link" else None
        link = ShareLink.objects.create(
            uid=uid,
            token_sha256=sha256_of(token),
            purpose="calendar",
            project=project,
            company=Company.objects.get(uid=visitor.company),
            person=None if through else Person.objects.get(uid=identity),
            through=through,
            holder=visitor.name,
            phone=visitor.phone,
            issued_at=at,
            expires_at=through.expires_at if through else _end(at),
            event=event,
        )
    return link, token


def calendar_of_visits(person: Person, at: datetime) -> tuple[ShareLink, str]:
    """A calendar of the visits on every project that the person coordinates. Raises NotVisible where there is none."""
    if not coordinated_by(person).exists():
        raise NotVisible
    return _personal(person, at, None)


def calendar_of_company(person: Person, company_uid: uuid.UUID, at: datetime) -> tuple[ShareLink, str]:
    """A calendar of a company's dates on every project that the person coordinates; kept in the supplier's record.

    Raises NotVisible unless the company has work on one of them.
    """
    assigned = Assignment.objects.filter(
        company__uid=company_uid, project__in=coordinated_by(person), ended_at__isnull=True
    )
    first = assigned.select_related("company__supplier").first()
    if first is None:
        raise NotVisible
    company = first.company
    actor = {"identity": f"person:{person.uid}", "name": person.name, "role": "coordinator"}
    with deciding_on(supplier_stream(company.supplier.uid), actor=actor, at=at) as pen:
        link, token = _personal(person, at, company)
        pen.write("link sent", subject=str(link.uid), body={"purpose": "calendar", "company": company.name})
    return link, token


def take_back_calendar(person: Person, at: datetime, link_uid: uuid.UUID) -> None:
    """Close one of the person's own calendars. Raises NotVisible for somebody else's."""
    own = ShareLink.objects.filter(person=person, purpose="calendar", uid=link_uid)
    if not own.exists():
        raise NotVisible
    own.filter(revoked_at__isnull=True).update(revoked_at=at)


def _personal(person: Person, at: datetime, company: Company | None) -> tuple[ShareLink, str]:
    token = new_token()
    link = ShareLink.objects.create(
        token_sha256=sha256_of(token),
        purpose="calendar",
        company=company,
        person=person,
        holder=person.name,
        issued_at=at,
        expires_at=_end(at),
    )
    return link, token


def _end(at: datetime) -> datetime:
    return at + timedelta(days=settings.SHARE_LINK_DAYS)
