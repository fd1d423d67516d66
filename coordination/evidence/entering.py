"""Entries that somebody makes for a company that will not sign in: they always say so."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from coordination.access.models import Assignment, Project
from coordination.access.permissions import require
from coordination.access.refusals import Reason
from coordination.access.visitors import Visitor
from coordination.evidence.refusals import SayForWhom

# The authority's side has no company to enter for; whoever attaches its papers names number and date.
WITHOUT_A_COMPANY = frozenset({"building official"})


@dataclass(frozen=True)
class EnteredFor:
    """``source`` says where it came from: a texted photo, a call. ``company`` may be left to the assignment."""

    source: str
    company: str = ""


@dataclass(frozen=True)
class Entry:
    """On whose word something was entered; both empty where it is the visitor's own."""

    entered_for: str = ""
    entry_source: str = ""

    def as_body(self) -> Mapping[str, Any]:
        return (
            {"entered_for": self.entered_for, "entry_source": self.entry_source} if self.entered_for else {}
        )


OWN = Entry()


def entry_by(visitor: Visitor, project: Project, trade: str, for_other: EnteredFor | None) -> Entry:
    """The entry that ``visitor`` makes in the work of ``trade``.

    Raises SayForWhom when the work is another company's and ``for_other`` does not say so, NotAllowed when the
    visitor may not enter for others.
    """
    if for_other is None:
        if trade in visitor.trades or trade in WITHOUT_A_COMPANY:
            return OWN
        raise SayForWhom(Reason("say for whom", {"trade": trade, "company": _company(project, trade)}))
    require(visitor, "enter for a company")
    assigned = _company(project, trade)
    if for_other.company and assigned and for_other.company != assigned:
        raise SayForWhom(Reason("another company", {"company": assigned, "typed": for_other.company}))
    if not for_other.source.strip():
        raise SayForWhom(Reason("say the source", {"company": assigned or for_other.company}))
    return Entry(for_other.company or assigned or trade, for_other.source.strip())


def _company(project: Project, trade: str) -> str:
    standing = Assignment.objects.filter(project=project, trade=trade, ended_at__isnull=True)
    return str(standing.values_list("company__name", flat=True).first() or "")
