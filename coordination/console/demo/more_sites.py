"""Two more sites that are still being planned, the supplier's crews, and a first levelling over all of them."""

from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from django.conf import settings

from coordination.access.actions import assign_company
from coordination.access.models import Project
from coordination.access.queries import coordinator_of, visitor_for
from coordination.console.demo.cast import Cast, open_for
from coordination.dates.crews import (
    Asked,
    CrewInput,
    Point,
    ask_for_site,
    enter_crew,
    trades_with_companies,
)
from coordination.dates.levelling_runs import ask_for_levelling
from coordination.gates.actions import accept_change
from coordination.projects.actions import FactInput, enter_facts
from coordination.projects.job_file import read_job

JOBS = Path(settings.BASE_DIR) / "fixtures" / "facts"
# job file, the day on which it begins counted from today, where it is
SITES: Final = (("boat-sheds", -56, Point(44.48, -73.22)), ("millrace-house", -42, Point(43.61, -72.97)))
# name, people, days from now on which it is away: the second one learns a new model at the maker's
CREWS: Final = (("Marguerite’s crew", 2, range(0)), ("Second crew", 2, range(125, 165)))
HOME = Point(44.26, -72.58)


def plan_more_sites(cast: Cast, now: datetime) -> None:
    """Open the sites, enter the crews and what each site asks, and ask who goes where when."""
    for name, begin, point in SITES:
        _plan(cast, name, now + timedelta(days=begin), point)
    coordinator = coordinator_of(cast.people["coordinator"], cast.supplier.uid, now)
    company = next(c for trade, c in trades_with_companies(coordinator) if trade == "lift")
    for name, people, away in CREWS:
        days = [now.date() + timedelta(days=n) for n in away]
        told = CrewInput(company.uid, "lift", name, people, "Little Harrow", HOME, away=days)
        enter_crew(coordinator, now, told)
    ask_for_levelling(coordinator, now, seconds=1, today=now.date())


def _plan(cast: Cast, name: str, at: datetime, point: Point) -> Project:
    job = read_job(JOBS / f"{name}.toml")
    project = open_for(cast, job, at)
    coordinator = visitor_for(person=cast.people["coordinator"], link_uids=[], project_uid=project.uid, at=at)
    entries = {**job.entries, "calendar.start": FactInput(typed=at.date().isoformat())}
    change = enter_facts(project, coordinator, at, entries, authorities=job.authorities)
    if change is not None:
        accept_change(project, coordinator, at, change.uid)
    for company, entry in cast.content["company"].items():
        for trade in entry["trades"]:
            assign_company(project, coordinator, at, trade=trade, company=cast.companies[company])
    ask_for_site(coordinator, at, project.uid, Asked(point=point))
    return project
