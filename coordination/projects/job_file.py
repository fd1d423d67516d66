"""A job as a TOML file: the site facts, the lift model's data sheet, and what else is known at the start.

    [project]                    name, place, zone
    model_sheet = "..."          a data sheet beside the file
    rules = ["..."]              files of local or company rules beside the file
    [landing.1] ...              site facts, as siteprep reads them
    [authority.elevator]         its facts, and besides: phone, permit_on, inspections
    [working_days.site]          weekdays, closed, opened: what differs from the facts

Everything is read and checked before anything is entered; every fault is named with its key.
"""

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any
from zoneinfo import available_timezones

from django.utils.translation import get_language
from django.utils.translation import gettext as _

from coordination.projects.actions.facts import AuthorityInput
from coordination.projects.fact_values import FactInput, inputs_from
from coordination.projects.public_holidays import UnknownRegion, public_holidays
from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import AUTHORITIES, WEEKDAYS, FactErrors, Facts, read_facts
from coordination.siteprep.model_sheet import ModelSheet, SheetErrors, load_model_sheet
from coordination.siteprep.plan_parts import CALENDARS
from coordination.siteprep.toml_tables import CatalogueError, RuleFile

PARTICULARS = ("phone", "permit_on", "inspections")


class JobFileErrors(ValueError):
    """Everything wrong with a job file: (key, what is wrong, what would be right)."""

    def __init__(self, faults: list[tuple[str, str, str]]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(f"{key}: {wrong}; {right}" for key, wrong, right in faults))


@dataclass(frozen=True)
class WorkingDays:
    """What a calendar has of its own: weekdays (None as the facts say), days without and with work."""

    weekdays: tuple[int, ...] | None = None
    closed: tuple[date, ...] = ()
    opened: tuple[date, ...] = ()


@dataclass(frozen=True)
class Job:
    """Everything a job file says, read and checked."""

    name: str
    place: str
    zone: str
    facts: Facts
    authorities: Mapping[str, AuthorityInput] = field(default_factory=dict)
    working_days: Mapping[str, WorkingDays] = field(default_factory=dict)
    rules: tuple[RuleFile, ...] = ()

    @property
    def code_set(self) -> str:
        return self.facts.code_set

    @property
    def entries(self) -> dict[str, FactInput]:
        """The facts, ready for ``enter_facts``."""
        return inputs_from(self.facts)


def read_job(path: Path) -> Job:
    """Read a job file. Raises JobFileErrors with every fault found, OSError where there is no file."""
    try:
        content = tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise JobFileErrors([(path.name, str(error), _("write the file as TOML 1.0 in UTF-8"))]) from None
    return _Reading(path, content).job()


class _Reading:
    """One file being read: faults are gathered, nothing is given away before all is read."""

    def __init__(self, path: Path, content: dict[str, Any]) -> None:
        self.path, self.content = path, content
        self.faults: list[tuple[str, str, str]] = []

    def job(self) -> Job:
        project = self._table("project", ("name", "place", "zone"))
        particulars = dict(self._authorities())
        working_days = dict(self._working_days())
        rules = self._rules()
        facts = self._facts()
        name = project.get("name") or (facts.value("job.name") if facts else None)
        zone = str(project.get("zone", "UTC"))
        if facts and not name:
            self._fault("project.name", _("is missing"), _("give the project a name"))
        if zone not in available_timezones():
            self._fault(
                "project.zone", _("%r is not a time zone") % zone, _("write one such as America/New_York")
            )
        if self.faults or facts is None:
            raise JobFileErrors(self.faults)
        return Job(str(name), str(project.get("place", "")), zone, facts, particulars, working_days, rules)

    def _fault(self, key: str, wrong: str, right: str) -> None:
        self.faults.append((key, wrong, right))

    def _table(self, name: str, keys: tuple[str, ...]) -> dict[str, str]:
        """Take a table of texts out of the file."""
        table = self.content.pop(name, {})
        if not isinstance(table, dict):
            self._fault(name, _("is not a table"), _("write [%s]") % name)
            return {}
        for key in table.keys() - set(keys):
            self._fault(f"{name}.{key}", _("is not known here"), _one_of(keys))
        for key in (key for key in keys if not isinstance(table.get(key, ""), str)):
            self._fault(
                f"{name}.{key}", _("%r is not a text") % table.pop(key), _("write it in quotation marks")
            )
        return {key: table[key] for key in keys if key in table}

    def _facts(self) -> Facts | None:
        """The site facts: whatever is left of the file."""
        try:
            model = self._model_sheet()
            facts = read_facts(self.content, model)
        except FactErrors as errors:
            language = (get_language() or "en")[:2]
            self.faults += [(fault.fact, *fault.says(language)) for fault in errors.faults]
            return None
        self._check_holidays(facts)
        return facts

    def _model_sheet(self) -> ModelSheet | None:
        sheet = self.content.pop("model_sheet", None)
        if sheet is None:
            return None
        if not isinstance(sheet, str):
            self._fault(
                "model_sheet",
                _("%r is not a path") % (sheet,),
                _("write the path of a TOML file in quotation marks"),
            )
            return None
        try:
            return load_model_sheet(self.path.parent / sheet)
        except OSError:
            self._fault(
                "model_sheet", _("there is no file %s") % sheet, _("write its path as seen from this file")
            )
        except SheetErrors:
            raise
        except (ValueError, RecursionError) as error:  # neither TOML nor UTF-8, or no path
            self._fault("model_sheet", f"{sheet!r}: {error}", _("write the data sheet as TOML 1.0 in UTF-8"))
        return None

    def _rules(self) -> tuple[RuleFile, ...]:
        """Take the names of rule files out of the file; each is read, and all are checked together."""
        listed = self.content.pop("rules", [])
        if not isinstance(listed, list) or not all(isinstance(name, str) for name in listed):
            self._fault("rules", _("is not a list of paths"), _("write %s") % '["harbor-town.toml"]')
            return ()
        found = []
        for name in listed:
            path = self.path.parent / name
            try:
                found.append(RuleFile(path.name, path.read_text(encoding="utf-8")))
            except (OSError, ValueError):
                right = _(
                    "write its path as seen from this file, or lay it down on the site’s page of local rules"
                )
                self._fault("rules", _("there is no text file %s") % name, right)
        try:
            load_catalogue(*found)
        except CatalogueError as error:
            self._fault(f"rules {error.file}", f"{error.entry}: {error.key}", error.reason)
        return tuple(found)

    def _check_holidays(self, facts: Facts) -> None:
        region = facts.value("calendar.holidays")
        try:
            if region is not None:
                public_holidays(str(region), 2026, 2026)
        except UnknownRegion:
            example = facts.definitions["calendar.holidays"].form_example
            self._fault(
                "calendar.holidays",
                _("no public holidays on file for %r") % region,
                _("write it as %s") % example,
            )

    def _authorities(self) -> Iterator[tuple[str, AuthorityInput]]:
        """Take out of the authorities' tables what is not a fact."""
        tables = self.content.get("authority", {})
        for kind, table in tables.items() if isinstance(tables, dict) else ():
            if kind not in AUTHORITIES or not isinstance(table, dict):
                continue
            told = {part: table.pop(part) for part in PARTICULARS if part in table}
            if told:
                yield kind, self._particulars(f"authority.{kind}", told)

    def _particulars(self, key: str, told: dict[str, Any]) -> AuthorityInput:
        inspections, permit_on = told.get("inspections", []), told.get("permit_on")
        if not isinstance(inspections, list) or not all(
            isinstance(name, str) and name.strip() for name in inspections
        ):
            self._fault(
                f"{key}.inspections", _("is not a list of names"), _("write %s") % '["rough-in", "final"]'
            )
        elif "inspections" in told:
            told["inspections"] = tuple(inspections)
        if permit_on is not None and type(permit_on) is not date:
            self._fault(
                f"{key}.permit_on", _("%r is not a date") % (permit_on,), _("write it as %s") % "2027-02-01"
            )
        if not isinstance(told.get("phone", ""), str):
            self._fault(
                f"{key}.phone", _("%r is not a text") % (told["phone"],), _("write it in quotation marks")
            )
        return AuthorityInput(**told)

    def _working_days(self) -> Iterator[tuple[str, WorkingDays]]:
        tables = self.content.pop("working_days", {})
        for key, table in tables.items() if isinstance(tables, dict) else ():
            name = f"working_days.{key}"
            if key not in CALENDARS or not isinstance(table, dict):
                self._fault(name, _("is not a calendar"), _one_of(CALENDARS))
                continue
            for odd in table.keys() - {"weekdays", "closed", "opened"}:
                self._fault(
                    f"{name}.{odd}", _("is not known here"), _one_of(("weekdays", "closed", "opened"))
                )
            closed, opened = (
                self._days(f"{name}.{part}", table.get(part, [])) for part in ("closed", "opened")
            )
            for day in sorted(set(closed) & set(opened)):
                self._fault(name, _("%s is both closed and opened") % day, _("leave it in one of them"))
            yield key, WorkingDays(self._weekdays(f"{name}.weekdays", table), closed, opened)

    def _days(self, key: str, listed: Any) -> tuple[date, ...]:
        if not isinstance(listed, list) or not all(type(day) is date for day in listed):
            self._fault(key, _("is not a list of dates"), _("write %s") % "[2027-12-24, 2027-12-27]")
            return ()
        return tuple(sorted(set(listed)))

    def _weekdays(self, key: str, table: dict[str, Any]) -> tuple[int, ...] | None:
        if "weekdays" not in table:
            return None
        listed = table["weekdays"]
        if not isinstance(listed, list) or not listed or not all(day in WEEKDAYS for day in listed):
            self._fault(key, _("%r are not weekdays") % (listed,), _("write %s") % '["mon", "tue"]')
            return None
        return tuple(sorted({WEEKDAYS.index(day) for day in listed}))


def _one_of(choices: Iterable[str]) -> str:
    return _("write one of: %s") % ", ".join(choices)
