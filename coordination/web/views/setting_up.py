"""Setting up a site from what was sent: read and check all of it, then keep all of it or nothing."""

import tempfile
import tomllib
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from coordination.access.actions import open_project
from coordination.access.models import Company, Membership, Person, Project
from coordination.access.queries import visitor_for
from coordination.projects.actions import FactInput, enter_facts, lay_down_rules, set_calendar
from coordination.projects.fact_values import inputs_from
from coordination.projects.job_file import Job, JobFileErrors, read_job
from coordination.projects.stating import stated_facts
from coordination.siteprep.facts import FactErrors, Facts, definitions
from coordination.siteprep.model_sheet import ModelSheet, read_model_sheet

MODELS = settings.BASE_DIR / "fixtures" / "models"


class CannotBeRead(Exception):
    """A file that cannot be read as what it should be; ``sentences`` names everything wrong in it."""

    def __init__(self, *sentences: str) -> None:
        super().__init__(*sentences)
        self.sentences = sentences


@dataclass(frozen=True)
class NewSite:
    """Everything that a new site begins with."""

    uid: uuid.UUID
    name: str
    place: str
    zone: str
    code_set: str
    entries: Mapping[str, FactInput]
    job: Job | None = field(default=None)


def suppliers_of(person: Person) -> dict[str, Company]:
    """The companies for which the person coordinates, by uid: each of its supplier."""
    standing = Membership.objects.filter(person=person, role="coordinator", left_at__isnull=True)
    rows = standing.select_related("company__supplier").order_by("company__name")
    return {str(row.company.uid): row.company for row in rows}


def models_on_file() -> dict[str, str]:
    """Data sheets that are kept with the program: file name to the model's name."""
    return {path.name: path.stem.replace("-", " ").capitalize() for path in sorted(MODELS.glob("*.toml"))}


def read_sheet(text: str) -> ModelSheet:
    """Read a data sheet. Raises CannotBeRead."""
    try:
        return read_model_sheet(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise CannotBeRead(_("This is not TOML: %(why)s") % {"why": error}) from None
    except FactErrors as errors:
        raise CannotBeRead(*_sentences(errors)) from None


def by_hand(told: Mapping[str, Any]) -> NewSite:
    """What a form says, with the figures of the data sheet that it names. Raises CannotBeRead."""
    text = told["sheet"] or ((MODELS / told["model"]).read_text(encoding="utf-8") if told["model"] else "")
    figures = inputs_from(read_sheet(text).figures) if text else {}
    stated = {
        "job.name": FactInput(typed=told["name"].strip()),
        "job.code_set": FactInput(typed=told["code_set"]),
    }
    return NewSite(
        told["uid"], told["name"], told["place"], told["zone"], told["code_set"], {**figures, **stated}
    )


def from_job_file(uid: uuid.UUID, text: str, sheet: str) -> NewSite:
    """What a job file says. Raises CannotBeRead.

    The file may name a data sheet by a path; only ``sheet``, or one of ours of that name, is ever read for it.
    """
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder).resolve() / "a" / "b" / "job.toml"
        path.parent.mkdir(parents=True)
        path.write_text(text, encoding="utf-8")
        _lay_sheet(path, text, sheet)
        try:
            job = read_job(path)
        except JobFileErrors as errors:
            raise CannotBeRead(*(f"{key}: {wrong}; {right}" for key, wrong, right in errors.faults)) from None
    return NewSite(uid, job.name, job.place, job.zone, job.code_set, job.entries, job)


def set_up(person: Person, company: Company, site: NewSite, at: datetime) -> Project:
    """Open the site and enter everything that is known of it.

    Each step is a decision of its own, so all that could be refused is checked before the first. Where something
    breaks off in between, sending the same form again completes it. Raises CannotBeSo, FactsRefused.
    """
    stated_facts(Facts([], definitions(code_set=site.code_set)), site.entries, person.name)
    project = open_project(
        company.supplier,
        person,
        company,
        name=site.name,
        at=at,
        place=site.place,
        zone=site.zone,
        code_set=site.code_set,
        uid=site.uid,
    )
    visitor = visitor_for(person=person, link_uids=[], project_uid=project.uid, at=at)
    authorities = site.job.authorities if site.job else None
    enter_facts(project, visitor, at, site.entries, authorities=authorities)
    for rules in site.job.rules if site.job else ():
        lay_down_rules(project, visitor, at, rules.stem, rules.text)
    for key, days in site.job.working_days.items() if site.job else ():
        set_calendar(
            project, visitor, at, key, weekdays=days.weekdays, closed=days.closed, opened=days.opened
        )
    return project


def _lay_sheet(path: Path, text: str, sheet: str) -> None:
    """Put the data sheet where the job file says it is, within the folder that holds nothing else."""
    try:
        named = tomllib.loads(text).get("model_sheet")
    except tomllib.TOMLDecodeError:
        return  # reading the job says so
    if not isinstance(named, str):
        return
    target = (path.parent / named).resolve()
    if not target.is_relative_to(path.parents[2]):
        raise CannotBeRead(
            _("model_sheet: name the data sheet alone, without a path; send it beside the file")
        )
    content = sheet or _on_file(target.name)
    if content and target != path:
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(content, encoding="utf-8")


def _on_file(name: str) -> str:
    return (MODELS / name).read_text(encoding="utf-8") if name in models_on_file() else ""


def _sentences(errors: FactErrors) -> list[str]:
    language = (get_language() or "en")[:2]
    return ["{}: {}; {}".format(fault.fact, *fault.says(language)) for fault in errors.faults]
