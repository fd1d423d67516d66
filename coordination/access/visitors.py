"""Whoever asks. No query, action or event takes a bare account: it takes a visitor of one project."""

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from coordination.access.models import ROLES, Project


@dataclass(frozen=True)
class Visitor:
    """A standing of somebody on one project: from memberships, or from a link that was sent to them."""

    project: Project
    roles: frozenset[str]
    trades: frozenset[str]
    company: UUID | None
    company_name: str
    name: str
    phone: str
    identity: str  # "person:<uid>" or "link:<uid>": the same for the same somebody, on every project
    deputy: bool = False

    @property
    def role(self) -> str:
        """The role that weighs most, for the record and for the first screen."""
        return min(self.roles, key=ROLES.index)

    @property
    def by_link(self) -> bool:
        return self.identity.startswith("link:")

    def as_actor(self) -> dict[str, Any]:
        """What the record keeps of who decided: values, never keys."""
        return {
            "identity": self.identity,
            "name": self.name,
            "role": self.role,
            "roles": sorted(self.roles),
            "company": self.company_name,
            "company_uid": str(self.company) if self.company else "",
            "trades": sorted(self.trades),
        }


SYSTEM_ACTOR = {"identity": "system", "name": "Sill & Plumb", "role": "system"}
