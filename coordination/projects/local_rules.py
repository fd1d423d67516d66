"""Which rules of the place or of a company a project is planned with, and what they bring."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from coordination.access.models import Project
from coordination.projects.deriving import catalogue_with, refused
from coordination.projects.models import RuleSheet
from coordination.projects.refusals import RulesRefused
from coordination.record.queries import read
from coordination.siteprep.catalogue import Catalogue, load_catalogue
from coordination.siteprep.rule_files import RuleBrought, brought_by
from coordination.siteprep.sources import Source
from coordination.siteprep.toml_tables import CatalogueError, RuleFile


@dataclass(frozen=True)
class RulesInForce:
    """Rules as they stand. ``trouble`` says why they cannot be used any more, None where they can."""

    name: str
    text: str
    sha256: str
    since: datetime
    by: str
    brings: tuple[RuleBrought, ...]
    sources: tuple[Source, ...]
    trouble: RulesRefused | None = None


@dataclass(frozen=True)
class RulesElsewhere:
    """Rules in force on another site of the same supplier. ``differs`` says that this site has others of the name."""

    name: str
    text: str
    sha256: str
    site: str
    project: UUID
    since: datetime
    differs: bool


def newest_sheets(project: Project) -> dict[str, RuleSheet]:
    """The newest sheet of each name, withdrawn ones too, by name."""
    rows = RuleSheet.objects.filter(project=project).select_related("event").order_by("name", "seq")
    return {row.name: row for row in rows}


def catalogue_in_force(project: Project) -> Catalogue:
    """The catalogue with the rules in force; without them where they cannot be used any more."""
    try:
        return catalogue_with(*files_of(newest_sheets(project)))
    except RulesRefused:
        return load_catalogue()


def files_of(sheets: Mapping[str, RuleSheet]) -> tuple[RuleFile, ...]:
    """The sheets in force as files, by name: whoever was there first takes no precedence."""
    return tuple(
        RuleFile(f"{name}.toml", sheet.text)
        for name, sheet in sorted(sheets.items())
        if sheet.state == "in force"
    )


def rules_of(project: Project) -> tuple[RuleFile, ...]:
    """The rules in force on the project."""
    return files_of(newest_sheets(project))


def catalogue_of(project: Project) -> Catalogue:
    """The catalogue that the project is planned with; ours alone where its rules cannot be used any more."""
    try:
        return catalogue_with(*rules_of(project))
    except RulesRefused:
        return load_catalogue()


def rules_in_force(project: Project) -> list[RulesInForce]:
    """Every sheet in force by name, with what it brings, who laid it down and since when."""
    sheets = newest_sheets(project)
    files = files_of(sheets)
    return [_in_force(sheets[file.stem], file, files) for file in files]


def rules_elsewhere(project: Project) -> list[RulesElsewhere]:
    """Rules in force on other sites of the supplier that are not in force here as they are, newest first."""
    here = {name: row for name, row in newest_sheets(project).items() if row.state == "in force"}
    rows = RuleSheet.objects.filter(project__supplier=project.supplier_id).exclude(project=project)
    newest: dict[tuple[int, str], RuleSheet] = {}
    for row in rows.select_related("project", "event").order_by("seq"):
        newest[row.project_id, row.name] = row
    found: dict[str, RulesElsewhere] = {}
    for row in sorted(newest.values(), key=lambda row: row.event.at, reverse=True):
        known = row.name in here and here[row.name].sha256 == row.sha256
        if row.state == "in force" and not known and row.sha256 not in found:
            site = row.project
            found[row.sha256] = RulesElsewhere(
                row.name, row.text, row.sha256, site.name, site.uid, read(row.event).at, row.name in here
            )
    return list(found.values())


def _in_force(sheet: RuleSheet, file: RuleFile, all_files: tuple[RuleFile, ...]) -> RulesInForce:
    brings: tuple[RuleBrought, ...] = ()
    sources: tuple[Source, ...] = ()
    trouble = None
    try:
        catalogue = load_catalogue(*all_files)
        brings = brought_by(file, catalogue)
        own = load_catalogue().sources.keys()
        named = {key: each for key, each in catalogue.sources.items() if key not in own}
        sources = tuple(each for key, each in named.items() if f"[source.{key}]" in file.text)
    except CatalogueError as error:
        trouble = refused(error)
    laid = read(sheet.event)
    by = str(laid.actor.get("name", ""))
    return RulesInForce(sheet.name, sheet.text, sheet.sha256, laid.at, by, brings, sources, trouble)
