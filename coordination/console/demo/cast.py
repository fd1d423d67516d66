"""The people of the demo, read from fixtures/demo/cast.toml and let in through the real actions."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any
from uuid import UUID

from django.conf import settings

from coordination.access.actions import (
    add_company,
    add_member,
    add_person,
    assign_company,
    found_supplier,
    open_project,
    send_link,
)
from coordination.access.models import Company, Person, Project, Supplier
from coordination.access.queries import visitor_for
from coordination.access.visitors import Visitor
from coordination.projects.job_file import Job

SUPPLIER = UUID("6f1d2c9a-51f4-4c5e-9a53-0d6b4f0c7e21")
FILE = Path(settings.BASE_DIR) / "fixtures" / "demo" / "cast.toml"


@dataclass
class Cast:
    """Everybody of the demo: accounts by role, companies by name, and the file they come from."""

    supplier: Supplier
    people: Mapping[str, Person]
    companies: Mapping[str, Company]
    content: Mapping[str, Any]

    def company_of(self, trade: str) -> str:
        """The company that does a trade's work in the demo."""
        return next(name for name, entry in self.content["company"].items() if trade in entry["trades"])

    def signs_in(self, company: str) -> bool:
        return bool(self.content["company"][company].get("signs_in", True))


def assemble(at: datetime) -> Cast:
    """Found the supplier and make accounts and companies; doing it twice gives the same cast."""
    content = tomllib.loads(FILE.read_text())
    supplier = found_supplier(content["supplier"]["name"], at, uid=SUPPLIER)
    actor = {"identity": "system", "name": "demo", "role": "system"}
    companies = {
        name: add_company(
            supplier,
            name=name,
            phone=entry["phone"],
            contact=entry["contact"],
            signs_in=entry.get("signs_in", True),
            at=at,
            actor=actor,
        )
        for name, entry in content["company"].items()
    }
    people = {
        role: add_person(entry["email"], entry["name"], entry["phone"])
        for role, entry in content["person"].items()
    }
    return Cast(supplier, people, companies, content)


class Troupe:
    """The cast on one project: who acts for which role or trade, with the links that were sent."""

    def __init__(self, cast: Cast, project: Project, at: datetime) -> None:
        self.cast, self.project = cast, project
        self.tokens: dict[str, str] = {}
        self._links: dict[str, UUID] = {}
        self._let_in(at)

    def as_role(self, role: str, at: datetime) -> Visitor:
        """Somebody with an account."""
        return visitor_for(person=self.cast.people[role], link_uids=[], project_uid=self.project.uid, at=at)

    def as_company(self, company: str, at: datetime) -> Visitor:
        """A company that came through its link."""
        return visitor_for(person=None, link_uids=[self._links[company]], project_uid=self.project.uid, at=at)

    def _let_in(self, at: datetime) -> None:
        coordinator = self.as_role("coordinator", at)
        for role, entry in self.cast.content["person"].items():
            if role != "coordinator":
                add_member(
                    self.project,
                    coordinator,
                    at,
                    person=self.cast.people[role],
                    company=self.cast.companies[entry["company"]],
                    role=entry["role"],
                    trade="lift" if role == "lift crew" else "",
                )
        for name, entry in self.cast.content["company"].items():
            for trade in entry["trades"]:
                assign_company(self.project, coordinator, at, trade=trade, company=self.cast.companies[name])
        for name, entry in self.cast.content["company"].items():
            if entry["trades"] and name not in {p["company"] for p in self.cast.content["person"].values()}:
                self._send(name, entry, at)

    def _send(self, name: str, entry: Mapping[str, Any], at: datetime) -> None:
        """A link to one company's tasks, as the superintendent texts it."""
        contractor = self.as_role("contractor", at)
        link, token = send_link(
            self.project,
            contractor,
            at,
            purpose="company tasks",
            company=self.cast.companies[name],
            holder=entry["contact"],
            phone=entry["phone"],
            language=entry.get("language", ""),
            days=730,
        )
        self.tokens[name] = token
        self._links[name] = link.uid

    def send_to(self, purpose: str, holder: str, at: datetime) -> str:
        """A link to the owner's page or for the inspection; gives its token."""
        contractor = self.as_role("contractor", at)
        return send_link(self.project, contractor, at, purpose=purpose, holder=holder, days=730)[1]


def open_for(cast: Cast, job: Job, at: datetime) -> Project:
    """Open the project of a job file; the coordinator opens it."""
    return open_project(
        cast.supplier,
        cast.people["coordinator"],
        cast.companies[cast.content["person"]["coordinator"]["company"]],
        name=job.name,
        place=job.place,
        zone=job.zone,
        code_set=job.code_set,
        at=at,
    )
