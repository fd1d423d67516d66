"""The one block in which a visitor decides something about a project."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime

from django.db.models import Q

from coordination.access.models import Membership, Project, ShareLink
from coordination.access.refusals import NoLongerStanding, Reason
from coordination.access.visitors import SYSTEM_ACTOR, Visitor
from coordination.record.actions import Pen, deciding_on


@contextmanager
def deciding(
    project: Project, visitor: Visitor | None, at: datetime, *, claimed_at: datetime | None = None
) -> Iterator[Pen]:
    """Lock the project's chain before the first read and write exactly one event.

    ``visitor`` None is the program itself (a report was made, a reminder sent). ``claimed_at`` is when somebody
    says it happened, where that differs from ``at``. Everything the block reads must be read inside it.
    Raises NoLongerStanding when the visitor's membership or link has ended since it was looked up;
    ValueError when the visitor stands on another project.
    """
    if visitor is not None and visitor.project.pk != project.pk:
        raise ValueError("The visitor stands on another project.")
    actor = SYSTEM_ACTOR if visitor is None else visitor.as_actor()
    with deciding_on(project.stream, actor=actor, at=at, claimed_at=claimed_at) as pen:
        if visitor is not None and _standing_ended(visitor, at):
            raise NoLongerStanding(Reason("no longer standing"))
        yield pen


@contextmanager
def deciding_for_supplier(visitor: Visitor, at: datetime) -> Iterator[Pen]:
    """Decide something that concerns all sites of the visitor's supplier: one event in the supplier's own stream.

    Raises NoLongerStanding as ``deciding`` does.
    """
    stream = f"supplier:{visitor.project.supplier.uid}"
    with deciding_on(stream, actor=visitor.as_actor(), at=at) as pen:
        if _standing_ended(visitor, at):
            raise NoLongerStanding(Reason("no longer standing"))
        yield pen


def _standing_ended(visitor: Visitor, at: datetime) -> bool:
    """Whether what let the visitor in was ended after it let them in."""
    kind, _, uid = visitor.identity.partition(":")
    if kind == "link":
        closed = Q(revoked_at__isnull=False) | Q(expires_at__lte=at)
        return ShareLink.objects.filter(closed, uid=uid).exists()
    standings = Membership.objects.filter(project=visitor.project, person__uid=uid, role__in=visitor.roles)
    by_role = list(standings.values_list("role", "left_at", "person__is_active"))
    standing = {role for role, left_at, is_active in by_role if left_at is None and is_active}
    return bool({role for role, *_ in by_role} - standing)
