"""Several sites of one supplier with the small job of the gates' tests, and crews for them."""

from dataclasses import replace
from datetime import date
from typing import Any

from coordination.access import actions as access
from coordination.access.queries import coordinator_of
from coordination.access.visitors import Visitor
from coordination.dates.crews import CrewInput, enter_crew
from coordination.dates.models import Crew
from tests.gates.sites import JOB, Site, build
from tests.standing_cast import AT

TODAY = date(2026, 3, 4)  # a Wednesday


def more_site(first: Site, name: str, derived: Any = JOB) -> Site:
    """Another site of the same supplier with the same plan and companies."""
    cast = first.cast
    project = access.open_project(
        cast.supplier,
        cast.people["coordinator"],
        cast.companies["supplier"],
        name=name,
        at=AT,
        zone="America/New_York",
    )
    other = Site(replace(cast, project=project))
    for trade, company in (("lift", "supplier"), ("electrical", "electrician"), ("framing", "framer")):
        access.assign_company(
            project, other.who("coordinator"), other.step(), trade=trade, company=cast.companies[company]
        )
    other.accept(derived)
    return other


def two_sites() -> tuple[Site, Site]:
    first = build()
    return first, more_site(first, "Mill Street")


def coordinator(site: Site) -> Visitor:
    return coordinator_of(site.cast.people["coordinator"], site.cast.supplier.uid, AT)


def told(site: Site, name: str = "Van one", **altered: Any) -> CrewInput:
    return replace(CrewInput(site.cast.companies["supplier"].uid, "lift", name), **altered)


def crew(site: Site, name: str = "Van one", **altered: Any) -> Crew:
    return enter_crew(coordinator(site), AT, told(site, name, **altered))
