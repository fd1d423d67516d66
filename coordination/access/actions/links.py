"""Links for people without an account. The token is shown once, to whoever sends it; only its hash is kept."""

import hashlib
import secrets
import uuid
from collections.abc import Collection
from datetime import datetime, timedelta

from django.conf import settings
from django.db.models import DateTimeField, F, Q, Value
from django.db.models.functions import Coalesce

from coordination.access.attempts import WRONG_TOKENS, count_attempt, refuse_after_too_many
from coordination.access.deciding import deciding
from coordination.access.models import Company, Project, ShareLink
from coordination.access.permissions import require
from coordination.access.refusals import (
    CannotBeSo,
    LinkExpired,
    LinkRevoked,
    LinkUnknown,
    LinkUsed,
    NotVisible,
    Reason,
)
from coordination.access.visitors import Visitor

PURPOSES = ("company tasks", "calendar", "owner page", "inspection")
FOR_A_COMPANY = ("company tasks", "calendar")
PAGES = ("company tasks", "owner page", "inspection", "sign in")
MOST_DAYS = 3650


def send_link(
    project: Project,
    visitor: Visitor,
    at: datetime,
    *,
    purpose: str,
    company: Company | None = None,
    holder: str = "",
    phone: str = "",
    language: str = "",
    days: int | None = None,
) -> tuple[ShareLink, str]:
    """Make a link into the project; the token is returned and never seen again.

    Raises NotAllowed, CannotBeSo, NotVisible for a company of another supplier.
    """
    require(visitor, "send a link")
    days = settings.SHARE_LINK_DAYS if days is None else days
    _refuse_what_cannot_be(purpose, company, days)
    if company is not None and company.supplier_id != project.supplier_id:
        raise NotVisible
    token, uid, expires_at = new_token(), uuid.uuid4(), at + timedelta(days=days)
    with deciding(project, visitor, at) as pen:
        told = {"purpose": purpose, "company": company.name if company else "", "holder": holder.strip()}
        event = pen.write("link sent", subject=str(uid), body={**told, "expires_at": expires_at.isoformat()})
        link = ShareLink.objects.create(
            uid=uid,
            token_sha256=sha256_of(token),
            purpose=purpose,
            project=project,
            company=company,
            holder=holder.strip(),
            phone=phone.strip(),
            language=language,
            issued_at=at,
            expires_at=expires_at,
            event=event,
        )
    return link, token


def revoke_link(project: Project, visitor: Visitor, at: datetime, link_uid: uuid.UUID) -> None:
    """Take a link back at once, and the calendars that were asked for by it.

    Raises NotAllowed, NotVisible for a link of another project.
    """
    require(visitor, "revoke a link")
    with deciding(project, visitor, at) as pen:
        link = ShareLink.objects.filter(project=project, uid=link_uid).first()
        if link is None:
            raise NotVisible
        own_or_asked_for_by_it = Q(pk=link.pk) | Q(through=link)
        if not ShareLink.objects.filter(own_or_asked_for_by_it, revoked_at__isnull=True).update(
            revoked_at=at
        ):
            pen.leave_as_it_is()
            return
        pen.write(
            "link revoked", subject=str(link_uid), body={"purpose": link.purpose, "holder": link.holder}
        )


def open_link(token: str, at: datetime, *, address: str = "", purposes: Collection[str] = PAGES) -> ShareLink:
    """The link that ``token`` opens. Looking never uses it up: mail programs and previews look, too.

    A token for another purpose is as unknown as one that never was: what a calendar program gives away opens no
    page. Unknown tokens are counted per ``address``. Raises LinkUnknown, LinkRevoked, LinkExpired, LinkUsed,
    TooManyAttempts.
    """
    if address:
        refuse_after_too_many(WRONG_TOKENS, address, at)
    links = ShareLink.objects.select_related("project", "company", "person", "through")
    link = links.filter(token_sha256=sha256_of(token), purpose__in=purposes).first()
    if link is None:
        if address:
            count_attempt(WRONG_TOKENS, address, at)
        raise LinkUnknown(Reason("link unknown"))
    _refuse_a_closed(link, at)
    return link


def spend_link(link: ShareLink, at: datetime) -> None:
    """Somebody comes in by the link; one that works once is used up: of two presses one gets through.

    Raises as ``open_link``.
    """
    link.refresh_from_db()
    _refuse_a_closed(link, at)
    standing = ShareLink.objects.filter(pk=link.pk, revoked_at__isnull=True)
    if link.once:
        standing = standing.filter(used_at__isnull=True)
    first = Coalesce("used_at", Value(at), output_field=DateTimeField())
    if not standing.update(used_at=first, last_opened_at=at, times_opened=F("times_opened") + 1):
        raise LinkUsed(Reason("link used")) if link.once else LinkRevoked(Reason("link revoked"))


def new_token() -> str:
    """43 characters that carry 256 random bits."""
    return secrets.token_urlsafe(32)


def sha256_of(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def _refuse_a_closed(link: ShareLink, at: datetime) -> None:
    if link.revoked_at is not None or (link.person is not None and not link.person.is_active):
        raise LinkRevoked(Reason("link revoked"))
    if link.expires_at <= at:
        raise LinkExpired(Reason("link expired"))
    if link.once and link.used_at is not None:
        raise LinkUsed(Reason("link used"))


def _refuse_what_cannot_be(purpose: str, company: Company | None, days: int) -> None:
    reasons = []
    if purpose not in PURPOSES:
        reasons.append(Reason("no such purpose", {"typed": purpose, "choices": ", ".join(PURPOSES)}))
    elif purpose in FOR_A_COMPANY and company is None:
        reasons.append(Reason("a link to tasks names a company"))
    elif purpose not in FOR_A_COMPANY and company is not None:
        reasons.append(Reason("only a link to tasks names a company"))
    if not 1 <= days <= MOST_DAYS:
        reasons.append(Reason("days out of range", {"low": 1, "high": MOST_DAYS}))
    if reasons:
        raise CannotBeSo(*reasons)
