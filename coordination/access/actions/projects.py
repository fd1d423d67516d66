"""Opening a project."""

import uuid
from datetime import datetime
from zoneinfo import available_timezones

from coordination.access.actions.suppliers import named
from coordination.access.models import Company, Membership, Person, Project, Supplier
from coordination.access.refusals import CannotBeSo, NotVisible, Reason
from coordination.record.actions import deciding_on

CODE_SETS = ("us", "en")


def open_project(
    supplier: Supplier,
    person: Person,
    company: Company,
    *,
    name: str,
    at: datetime,
    place: str = "",
    zone: str = "UTC",
    code_set: str = "us",
    uid: uuid.UUID | None = None,
) -> Project:
    """Open a project with ``person`` of ``company`` as its coordinator.

    A form makes ``uid`` beforehand; sent twice it opens one project. Raises CannotBeSo naming what cannot be,
    NotVisible for a company, or a ``uid``, of another supplier.
    """
    _refuse_what_cannot_be(name, zone, code_set)
    uid = uid or uuid.uuid4()
    with deciding_on(str(uid), actor=_founder(person, company), at=at) as pen:
        if known := Project.objects.filter(uid=uid).first():
            if known.supplier_id != supplier.pk:
                raise NotVisible
            pen.leave_as_it_is()
            return known
        if company.supplier_id != supplier.pk:
            raise NotVisible
        told = {"name": named(name), "place": place.strip(), "zone": zone, "code_set": code_set}
        event = pen.write("project opened", subject=str(uid), body={**told, "supplier": str(supplier.uid)})
        project = Project.objects.create(uid=uid, supplier=supplier, event=event, **told)
        Membership.objects.create(
            project=project, person=person, company=company, role="coordinator", event=event
        )
        return project


def _refuse_what_cannot_be(name: str, zone: str, code_set: str) -> None:
    reasons = []
    if not name.strip():
        reasons.append(Reason("no name"))
    if zone not in available_timezones():
        reasons.append(Reason("no such zone", {"typed": zone}))
    if code_set not in CODE_SETS:
        reasons.append(Reason("no such code set", {"typed": code_set, "choices": ", ".join(CODE_SETS)}))
    if reasons:
        raise CannotBeSo(*reasons)


def _founder(person: Person, company: Company) -> dict[str, object]:
    """The coordinator as the record names an actor, before there is a membership to look up."""
    return {
        "identity": f"person:{person.uid}",
        "name": person.name,
        "role": "coordinator",
        "roles": ["coordinator"],
        "company": company.name,
        "company_uid": str(company.uid),
        "trades": [],
    }
