"""Suppliers, people and companies: what stands before there is a project."""

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.contrib.auth.hashers import make_password
from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from coordination.access.models import Company, Person, Project, Supplier
from coordination.access.permissions import require
from coordination.access.refusals import CannotBeSo, Reason
from coordination.access.visitors import SYSTEM_ACTOR, Visitor
from coordination.record.actions import deciding_on

NO_PASSWORD = make_password(None)


def supplier_stream(supplier: uuid.UUID) -> str:
    """The name of a supplier's own chain in the record."""
    return f"supplier:{supplier}"


def found_supplier(name: str, at: datetime, *, uid: uuid.UUID | None = None) -> Supplier:
    """Make a new tenant. With a ``uid`` that is known already, that supplier is returned as it is."""
    uid, name = uid or uuid.uuid4(), named(name)
    with deciding_on(supplier_stream(uid), actor=SYSTEM_ACTOR, at=at) as pen:
        if known := Supplier.objects.filter(uid=uid).first():
            pen.leave_as_it_is()
            return known
        pen.write("supplier founded", subject=str(uid), body={"name": name})
        return Supplier.objects.create(uid=uid, name=name)


def add_person(email: str, name: str, phone: str = "", language: str = "en-us") -> Person:
    """Give somebody an account; an e-mail that has one keeps it as it is. An account alone opens nothing."""
    address = written_address(email).lower()
    told = {"name": named(name), "phone": phone.strip(), "language": language}
    person, _new = Person.objects.get_or_create(email=address, defaults={**told, "password": NO_PASSWORD})
    return person


def add_company(
    supplier: Supplier,
    *,
    name: str,
    at: datetime,
    actor: Mapping[str, Any],
    phone: str = "",
    contact: str = "",
    email: str = "",
    signs_in: bool = True,
) -> Company:
    """Make a company known to a supplier. The same particulars again change nothing; others are refused."""
    particulars = {
        "phone": phone.strip(),
        "contact": contact.strip(),
        "email": written_address(email) if email.strip() else "",
        "signs_in": signs_in,
    }
    with deciding_on(supplier_stream(supplier.uid), actor=actor, at=at) as pen:
        if known := Company.objects.filter(supplier=supplier, name=named(name)).first():
            if any(getattr(known, field) != value for field, value in particulars.items()):
                raise CannotBeSo(Reason("company is known", {"name": known.name}))
            pen.leave_as_it_is()
            return known
        company = Company.objects.create(supplier=supplier, name=named(name), **particulars)
        pen.write("company added", subject=str(company.uid), body={"name": company.name, **particulars})
        return company


def introduce_company(
    project: Project, visitor: Visitor, at: datetime, *, name: str, phone: str = "", contact: str = "",
    email: str = "", signs_in: bool = True,
) -> Company:  # fmt: skip
    """Make a company known to the project's supplier. Raises NotAllowed, CannotBeSo."""
    require(visitor, "assign a company")
    if visitor.project.pk != project.pk:
        raise ValueError("The visitor stands on another project.")
    told = {"phone": phone, "contact": contact, "email": email, "signs_in": signs_in}
    return add_company(project.supplier, name=name, at=at, actor=visitor.as_actor(), **told)


def written_address(text: str) -> str:
    """An e-mail address without the white space around it. Raises CannotBeSo for what is none."""
    try:
        validate_email(text.strip())
    except ValidationError:
        raise CannotBeSo(Reason("not an e-mail address", {"typed": text})) from None
    return text.strip()


def named(text: str) -> str:
    """A name without the white space around it. Raises CannotBeSo when nothing is left."""
    if not text.strip():
        raise CannotBeSo(Reason("no name"))
    return text.strip()
