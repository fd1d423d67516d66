"""Calls about what blocks a visit, or about news that no mail could bring, and when somebody was last reached."""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import Reason
from coordination.access.visitors import Visitor
from coordination.dates.models import Call
from coordination.dates.refusals import CallRefused
from coordination.dates.visit_models import OUTCOMES
from coordination.dates.visiting import WORK

NEWS = "news"
HEARD = ("reached", "texted")


@dataclass(frozen=True)
class Calling:
    """Whom a call was made to, about which visit or NEWS, and what came of it."""

    visit: str
    owner: str
    phone: str
    outcome: str


def log_call(project: Project, visitor: Visitor, at: datetime, call_uid: uuid.UUID, calling: Calling) -> Call:
    """Log one call under the key that its page gave it; the same key again is the same call.

    Raises NotAllowed; CallRefused, also where the key was used for a call on another project.
    """
    require(visitor, "log a call")
    reasons = [] if calling.visit in {*WORK, NEWS} else [Reason("no visit named")]
    if not calling.owner.strip() or len(calling.owner) > 160 or len(calling.phone) > 40:
        reasons.append(Reason("nobody called"))
    if calling.outcome not in OUTCOMES:
        reasons.append(Reason("no such outcome", {"choices": ", ".join(OUTCOMES)}))
    if reasons:
        raise CallRefused(*reasons)
    with deciding(project, visitor, at) as pen:
        logged = Call.objects.filter(uid=call_uid).first()
        if logged is not None and logged.project_id != project.pk:
            raise CallRefused(Reason("call key used"))
        if logged is not None:
            pen.leave_as_it_is()
            return logged
        verb = "news told" if calling.visit == NEWS else "call logged"
        subject = calling.owner if calling.visit == NEWS else calling.visit
        event = pen.write(verb, subject=subject, body={"call": str(call_uid), **vars(calling)})
        return Call.objects.create(
            uid=call_uid, project=project, name=visitor.name, at=at, event=event, **vars(calling)
        )


def last_calls(projects: Iterable[Project]) -> dict[tuple[int, str, str], Call]:
    """The newest call by site, owner and telephone; one query however many sites."""
    calls = Call.objects.filter(project__in=list(projects)).select_related("project").order_by("at", "pk")
    return {(call.project_id, call.owner, call.phone): call for call in calls}


def reached(projects: Iterable[Project]) -> dict[tuple[int, str], datetime]:
    """When somebody was last reached or texted, by site and owner; one query however many sites."""
    heard = Call.objects.filter(project__in=list(projects), outcome__in=HEARD)
    return {(call.project_id, call.owner): call.at for call in heard.order_by("at", "pk")}
