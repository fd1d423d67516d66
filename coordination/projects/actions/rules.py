"""Laying down rules of the place or of a company, and withdrawing them: the plan follows as a change."""

import hashlib
import re
from datetime import datetime

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import Reason
from coordination.access.visitors import Visitor
from coordination.projects import deriving
from coordination.projects.changing import lay_beside
from coordination.projects.local_rules import files_of, newest_sheets
from coordination.projects.models import PlanChange, RuleSheet
from coordination.projects.refusals import RulesRefused
from coordination.projects.stating import facts_of, newest_entries
from coordination.record.actions import Pen
from coordination.siteprep.rule_files import brought_by
from coordination.siteprep.toml_tables import RuleFile

MOST_CHARACTERS = 200_000
NAME = re.compile(r"[a-z0-9]+(?:[-_][a-z0-9]+)*")


def lay_down_rules(
    project: Project, visitor: Visitor, at: datetime, name: str, text: str
) -> PlanChange | None:
    """Plan the project with these rules besides the catalogue; earlier ones of the name are replaced.

    Gives the open change, None where the plan stays as it is. Raises NotAllowed; RulesRefused, which names file,
    entry and key, or what is wrong with the name or the size.
    """
    require(visitor, "change facts")
    _refuse_what_cannot_be(name, text)
    sha256 = hashlib.sha256(text.encode()).hexdigest()
    with deciding(project, visitor, at) as pen:
        return _turn(RuleSheet(project=project, name=name, text=text, sha256=sha256), pen)


def withdraw_rules(project: Project, visitor: Visitor, at: datetime, name: str) -> PlanChange | None:
    """Plan the project without these rules again. Withdrawing what is not in force changes nothing.

    Raises NotAllowed; RulesRefused where other rules lean on these.
    """
    require(visitor, "change facts")
    with deciding(project, visitor, at) as pen:
        return _turn(RuleSheet(project=project, name=name, state="withdrawn"), pen)


def _turn(sheet: RuleSheet, pen: Pen) -> PlanChange | None:
    """Let ``sheet`` take the place of the one of its name, and lay the plan that follows beside the standing one."""
    project, standing = sheet.project, newest_sheets(sheet.project)
    before = standing.get(sheet.name)
    if (before.sha256 if before else "") == sheet.sha256:
        pen.leave_as_it_is()
        return PlanChange.objects.filter(project=project, state="open").first()
    files = files_of({**standing, sheet.name: sheet})
    plan = deriving.plan_of(facts_of(project, newest_entries(project)), *files)
    verb = "local rules withdrawn" if sheet.state == "withdrawn" else "local rules laid down"
    body = {
        "sha256": sheet.sha256,
        "before_sha256": before.sha256 if before else "",
        "entries": _brought(sheet, files),
    }
    sheet.seq = before.seq + 1 if before else 1
    sheet.event = pen.write(verb, subject=sheet.name, body={**body, "catalogue": plan.catalogue_sha})
    sheet.save(force_insert=True)
    return lay_beside(project, plan, sheet.event)


def _brought(sheet: RuleSheet, files: tuple[RuleFile, ...]) -> list[str]:
    """The entries that the sheet brings, as the record keeps them."""
    file = RuleFile(f"{sheet.name}.toml", sheet.text)
    return [f"{each.kind} {each.key}" for each in brought_by(file, deriving.catalogue_with(*files))]


def _refuse_what_cannot_be(name: str, text: str) -> None:
    if not NAME.fullmatch(name) or len(name) > 60:
        raise RulesRefused(Reason("rules need a name", {"typed": name}))
    if len(text) > MOST_CHARACTERS:
        raise RulesRefused(Reason("rules too long", {"high": MOST_CHARACTERS}))
    if not text.strip():
        raise RulesRefused(Reason("rules are empty", {"name": name}))
