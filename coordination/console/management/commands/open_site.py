"""Open a site from a job file: the way in for the first coordinator of a supplier."""

import uuid
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import timezone
from django.utils.translation import gettext as _

from coordination.access.actions import (
    add_company,
    add_person,
    found_supplier,
    open_project,
    send_sign_in_link,
)
from coordination.access.queries import visitor_for
from coordination.access.refusals import Reason, Refusal
from coordination.access.sentences import sentence
from coordination.access.visitors import SYSTEM_ACTOR
from coordination.console.refused import Refused
from coordination.gates.actions import accept_change
from coordination.projects.actions import enter_facts, lay_down_rules, set_calendar
from coordination.projects.job_file import JobFileErrors, read_job

SUPPLIERS = uuid.UUID("3b4a2f7e-8f0a-4d53-9f51-2a3c1f0f6d11")
MINUTES = 60 * 24


class Command(BaseCommand):
    help = "Open a site from a job file for a supplier's coordinator, and print the link that signs in."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("job", type=Path, help="a job file (fixtures/facts/ has examples)")
        parser.add_argument("--supplier", required=True, help="name of the lift supplier")
        parser.add_argument("--coordinator", required=True, help="name of the coordinator")
        parser.add_argument("--email", required=True, help="e-mail of the coordinator")
        parser.add_argument("--phone", default="", help="telephone of the coordinator")

    def handle(self, *args: Any, job: Path, **told: Any) -> None:
        try:
            read = read_job(job)
        except JobFileErrors as errors:
            faults = [f"{key}: {wrong}; {right}" for key, wrong, right in errors.faults]
            raise Refused(str(job), faults) from None
        except OSError as error:
            raise Refused(str(job), [str(error.strerror)]) from None
        try:
            name, token = self._open(read, **told)
        except Refusal as refusal:
            reasons = [sentence(reason) for reason in refusal.reasons if isinstance(reason, Reason)]
            raise Refused(str(job), reasons) from None
        self.stdout.write(_("%(name)s is open. For one day this link signs in:") % {"name": name})
        self.stdout.write(f"{settings.SITE_ADDRESS}/l/{token}")

    def _open(
        self, job: Any, *, supplier: str, coordinator: str, email: str, phone: str, **options: Any
    ) -> tuple[str, str]:
        """Everything refusable about people and names is refused before the project is opened."""
        at = timezone.now()
        person = add_person(email, coordinator, phone)
        tenant = found_supplier(supplier, at, uid=uuid.uuid5(SUPPLIERS, supplier.strip().casefold()))
        company = add_company(
            tenant, name=supplier, phone=phone, contact=coordinator, at=at, actor=SYSTEM_ACTOR
        )
        project = open_project(
            tenant,
            person,
            company,
            name=job.name,
            place=job.place,
            zone=job.zone,
            code_set=job.code_set,
            at=at,
        )
        visitor = visitor_for(person=person, link_uids=[], project_uid=project.uid, at=at)
        change = enter_facts(project, visitor, at, job.entries, authorities=job.authorities)
        for rules in job.rules:
            change = lay_down_rules(project, visitor, at, rules.stem, rules.text)
        for key, own in job.working_days.items():
            set_calendar(
                project, visitor, at, key, weekdays=own.weekdays, closed=own.closed, opened=own.opened
            )
        if change is not None:
            accept_change(project, visitor, at, change.uid)
        return project.name, send_sign_in_link(person, at, minutes=MINUTES, once=False)
