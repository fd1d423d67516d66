"""The people every test of rights meets: two suppliers, two subs of one trade, one who left, links that ended."""

import uuid
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from coordination.access import actions
from coordination.access.models import Company, Membership, Person, Project, ShareLink, Supplier
from coordination.access.queries import visitor_for
from coordination.access.visitors import SYSTEM_ACTOR, Visitor
from tests.standing_rows import remembered

AT = datetime(2026, 3, 2, 15, 30, tzinfo=UTC)


@dataclass
class Cast:
    """One project with everybody on it, made through the real actions at ``AT``."""

    supplier: Supplier
    project: Project
    people: dict[str, Person]
    companies: dict[str, Company]
    links: dict[str, ShareLink]
    tokens: dict[str, str]
    memberships: dict[str, Membership]

    def visitor(self, name: str, at: datetime = AT) -> Visitor:
        """The person called ``name`` as a visitor; raises NotVisible where they are none."""
        return visitor_for(person=self.people[name], link_uids=[], project_uid=self.project.uid, at=at)

    def by_link(self, name: str, at: datetime = AT) -> Visitor:
        link = self.links[name]
        return visitor_for(person=None, link_uids=[link.uid], project_uid=self.project.uid, at=at)


@remembered
def gather(prefix: str = "", **project: Any) -> Cast:
    """Make a supplier, a project and its cast. ``prefix`` keeps the e-mails of two casts apart."""
    supplier = actions.found_supplier(f"{prefix}Low Rise Lift Supply", AT)

    def company(name: str, phone: str) -> Company:
        return actions.add_company(
            supplier, name=name, phone=phone, contact=f"{name} office", at=AT, actor=SYSTEM_ACTOR
        )

    companies = {
        "supplier": company("Low Rise Lift Supply", "555-0100"),
        "contractor": company("Tern Hill Builders", "555-0110"),
        "electrician": company("Juniper Electric", "555-0120"),
        "other electrician": company("Cold Spring Electric", "555-0121"),
        "framer": company("Copper Creek Framing", "555-0142"),
        "owner": company("Harrow Lane Apartments", "555-0150"),
    }
    people = {
        name: actions.add_person(f"{prefix}{name.replace(' ', '.')}@site.example", words, f"555-02{n:02}")
        for n, (name, words) in enumerate(
            {
                "coordinator": "Ida Marsh",
                "contractor": "Ana Ruiz",
                "crew": "Lou Becker",
                "electrician": "Sol Vance",
                "other electrician": "Kit Ames",
                "framer": "Bo Tran",
                "left": "Max Orr",
                "owner": "Pat Quill",
                "stranger": "Nobody Here",
            }.items()
        )
    }
    told = {"name": "Harrow Lane", "place": "12 Harrow Lane", "zone": "America/New_York", **project}
    opened = actions.open_project(supplier, people["coordinator"], companies["supplier"], at=AT, **told)
    cast = Cast(supplier, opened, people, companies, {}, {}, {})
    _fill(cast)
    return cast


def _fill(cast: Cast) -> None:
    coordinator = cast.visitor("coordinator")
    for name, company, role, trade in [
        ("contractor", "contractor", "contractor", ""),
        ("crew", "supplier", "lift crew", "lift"),
        ("electrician", "electrician", "subcontractor", "electrical"),
        ("other electrician", "other electrician", "subcontractor", "electrical"),
        ("framer", "framer", "subcontractor", "framing"),
        ("left", "framer", "subcontractor", "framing"),
        ("owner", "owner", "owner", ""),
    ]:
        cast.memberships[name] = actions.add_member(
            cast.project,
            coordinator,
            AT,
            person=cast.people[name],
            company=cast.companies[company],
            role=role,
            trade=trade,
        )
    actions.end_membership(cast.project, coordinator, AT, cast.memberships["left"].uid)
    for trade, company in [
        ("electrical", "electrician"),
        ("framing", "framer"),
        ("lift", "supplier"),
        ("general contractor", "contractor"),
    ]:
        actions.assign_company(cast.project, coordinator, AT, trade=trade, company=cast.companies[company])
    for name, purpose, company, days in [
        ("electrician", "company tasks", "electrician", 30),
        ("framer", "company tasks", "framer", 30),
        ("owner", "owner page", None, 30),
        ("inspector", "inspection", None, 30),
        ("expired", "inspection", None, 1),
        ("revoked", "company tasks", "framer", 30),
    ]:
        cast.links[name], cast.tokens[name] = actions.send_link(
            cast.project,
            coordinator,
            AT,
            purpose=purpose,
            company=cast.companies[company] if company else None,
            days=days,
        )
    actions.revoke_link(cast.project, coordinator, AT, cast.links["revoked"].uid)


LATER = AT + timedelta(days=2)
NOBODYS = uuid.UUID("00000000-0000-4000-8000-000000000000")
