"""The authorities of a site as lines of a list."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.text import capfirst

from coordination.access.models import Project
from coordination.projects.models import Authority
from coordination.projects.queries import standing_facts
from coordination.siteprep.facts import Facts
from coordination.web.words import AUTHORITIES


@dataclass(frozen=True)
class AuthorityLine:
    """One authority. ``notice`` is None while nobody has said how many days ahead it must be asked."""

    kind: str
    title: str
    name: str
    phone: str
    permit: str
    permit_on: date | None
    notice: int | None
    inspections: tuple[str, ...]

    @property
    def standing(self) -> dict[str, Any]:
        """What its form begins with."""
        names = ("name", "phone", "permit", "permit_on", "notice", "inspections")
        return {name: getattr(self, name) for name in names}


def authority_lines(project: Project) -> list[AuthorityLine]:
    """Every authority that a site may have to do with; a constant number of queries."""
    rows = {row.kind: row for row in Authority.objects.filter(project=project)}
    facts = standing_facts(project)
    return [_line(kind, rows.get(kind) or Authority(kind=kind), facts) for kind in Authority.KINDS]


def _line(kind: str, row: Authority, facts: Facts) -> AuthorityLine:
    told: Mapping[str, Any] = {
        part: facts.value(f"authority.{kind}.{part}") for part in ("name", "permit", "notice")
    }
    return AuthorityLine(
        kind=kind,
        title=capfirst(str(AUTHORITIES[kind])),
        name=told["name"] or "",
        phone=row.phone,
        permit=told["permit"] or "",
        permit_on=row.permit_on,
        notice=told["notice"],
        inspections=tuple(row.inspections),
    )
