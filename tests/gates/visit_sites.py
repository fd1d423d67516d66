"""A job with a gate in front of the crew's first visit, and a statement that the site is ready."""

from datetime import date
from typing import Any

from coordination.dates.actions import book_visit
from coordination.dates.models import Visit
from coordination.siteprep.plan import Condition, Link, Place
from coordination.siteprep.plan import Requirement as Asked
from tests.gates.sites import BACKING, PRACTICE, Site, build
from tests.projects.small_plans import gate, photo, plan, task

READY = task(
    "site-ready@site",
    "general contractor",
    likely=1,
    requirements=(
        photo("site-ready@site", "swept-pit", accepts="lift crew", deputy="coordinator", answer_hours=4),
        Asked("site-ready@site", "statement", "signature", {"en": "Statement"}, PRACTICE),
    ),
)
CREW = task("rails@hoistway", "lift", requirements=(), calendar="lift")
LEVEL = task("adjust@hoistway", "lift", requirements=(), calendar="lift")
STONE, FRONT = gate(
    "ready-for-crew",
    Condition("task accepted", BACKING.key),
    Condition("requirement satisfied", "site-ready@site#statement"),
    Condition("task accepted", READY.key),
    signers=("contractor",),
)
CLOSE = task("close@rail-wall", "drywall", requirements=())
VISITING = plan(
    BACKING,
    READY,
    CREW,
    CLOSE,
    LEVEL,
    STONE,
    links=(
        Link(BACKING.key, READY.key),
        Link(READY.key, STONE.key),
        Link(STONE.key, CREW.key),
        Link(BACKING.key, CREW.key, "FS", handoff=True, receiver_note={"en": "the spread"}),
        Link(CREW.key, CLOSE.key),
        Link(CLOSE.key, LEVEL.key),
    ),
    gates=(FRONT,),
    places=(
        Place("rail-wall", "rail wall", {"en": "Rail wall"}),
        Place("hoistway", "hoistway", {"en": "Hoistway"}),
        Place("site", "site", {"en": "Site"}),
    ),
    drawing_revision="C",
)
DAY, CONFIRM_BY = date(2026, 3, 16), date(2026, 3, 11)
CHARGE = 185_000


def visiting_site(prefix: str = "") -> Site:
    return build(prefix, VISITING)


def book(site: Site, day: date = DAY, **more: Any) -> Visit:
    told = {"key": "rails", "confirm_by": CONFIRM_BY, "wasted_trip_cents": CHARGE, **more}
    return book_visit(site.project, site.who("coordinator"), site.step(), day=day, **told)


def show_the_site(site: Site) -> None:
    """Backing is handed over, the site is swept and looked at: everything but the statement."""
    site.start(BACKING.key, "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.read("backing@rail-wall#spread", "framer", '30"')
    offer = site.offer(BACKING.key, "framer")
    site.review("backing@rail-wall#left", "contractor")
    site.review("backing@rail-wall#spread", "coordinator")
    site.answer(offer, CREW.key, "crew")
    site.start(READY.key, "contractor")
    site.photo("site-ready@site#swept-pit", "contractor")
    site.review("site-ready@site#swept-pit", "crew")


def finish_the_gate(site: Site) -> None:
    """The statement's work is done and the gate in front of the crew cleared."""
    site.offer(READY.key, "contractor")
    site.sign("ready-for-crew", "contractor")
    site.clear("ready-for-crew")
