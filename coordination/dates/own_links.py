"""Links that people want beside the plan's: an order of work that moves dates and holds nothing back."""

import uuid
from dataclasses import dataclass
from datetime import datetime

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.dates.models import OwnLink
from coordination.dates.networks import Rows, counting, rows_of
from coordination.dates.refusals import LinkCannotBe
from coordination.dates.visit_models import KINDS, UNITS

MOST_LAG = 400


@dataclass(frozen=True)
class Wish:
    """A link that is wanted: tasks by key, the lag in days of the unit."""

    before: str
    after: str
    kind: str = "FS"
    lag: int = 0
    unit: str = "working"


def link_of(rows: Rows, wish: Wish) -> OwnLink:
    """The link as a row that is not kept. Raises LinkCannotBe naming everything that is wrong with it."""
    keys = {task.key for task in rows.tasks}
    reasons = [Reason("no such task", {"typed": key}) for key in (wish.before, wish.after) if key not in keys]
    if wish.before == wish.after:
        reasons.append(Reason("a task does not wait for itself"))
    if wish.kind not in KINDS or wish.unit not in UNITS:
        reasons.append(Reason("no such link", {"kinds": ", ".join(KINDS), "units": ", ".join(UNITS)}))
    if not -MOST_LAG <= wish.lag <= MOST_LAG:
        reasons.append(Reason("lag out of range", {"most": MOST_LAG}))
    link = OwnLink(**vars(wish))
    if not reasons and _closes_a_ring(rows, link):
        reasons.append(Reason("link closes a ring"))
    if reasons:
        raise LinkCannotBe(*reasons)
    return link


def add_link(project: Project, visitor: Visitor, at: datetime, wish: Wish) -> OwnLink:
    """Let one task wait for another from now on. The same link standing already, nothing changes.

    Raises NotAllowed, LinkCannotBe.
    """
    require(visitor, "set a date")
    with deciding(project, visitor, at) as pen:
        told = vars(wish)
        pair = {name: told[name] for name in ("before", "after", "kind")}
        standing = OwnLink.objects.filter(project=project, ended_at__isnull=True, **pair).first()
        if standing is not None and (standing.lag, standing.unit) == (wish.lag, wish.unit):
            pen.leave_as_it_is()
            return standing
        if standing is not None:
            raise LinkCannotBe(Reason("linked already"))
        link = link_of(rows_of([project])[project.pk], wish)
        body = {"link": str(link.uid), "kind": wish.kind, "lag": wish.lag, "unit": wish.unit}
        link.project = project
        link.event = pen.write("link added", subject=f"{wish.before}>{wish.after}", body=body)
        link.save(force_insert=True)
        return link


def end_link(project: Project, visitor: Visitor, at: datetime, link_uid: uuid.UUID) -> None:
    """Take an own link back. Taken back already, nothing changes. Raises NotAllowed, NotVisible."""
    require(visitor, "set a date")
    with deciding(project, visitor, at) as pen:
        link = OwnLink.objects.filter(project=project, uid=link_uid).first()
        if link is None:
            raise NotVisible
        if not OwnLink.objects.filter(pk=link.pk, ended_at__isnull=True).update(ended_at=at):
            pen.leave_as_it_is()
            return
        told = {"link": str(link.uid), "kind": link.kind}
        pen.write("link ended", subject=f"{link.before}>{link.after}", body=told)


def _closes_a_ring(rows: Rows, link: OwnLink) -> bool:
    """Whether the link would not count beside those that stand."""
    keys = {task.pk: task.key for task in rows.tasks}
    pairs = [(keys[each.before_id], keys[each.after_id]) for each in rows.links]
    own = [*rows.own_links, link]
    return counting(own, pairs, keys.values())[-1:] != [link]
