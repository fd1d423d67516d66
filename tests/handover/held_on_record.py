"""The small job with all that papers must keep: a failed inspection, a witness, concessions, a refusal, two rounds."""

from dataclasses import replace
from datetime import timedelta

from coordination.gates import actions
from coordination.gates.actions.inspecting import ItemWish
from coordination.gates.models import Clearing
from coordination.siteprep.plan import Plan
from coordination.siteprep.plan_parts import WitnessPoint
from tests.gates.sites import BACKING, PRACTICE, RAILS, ROUGH, Site, build
from tests.gates.test_inspecting import BOX, JOB_INSPECTED, inspect, items_of, put_right

LOOK = WitnessPoint("look", "engineer", {"en": "Engineer looks at it"}, PRACTICE, 2)
COVER = ItemWish("Cover missing", "pit", "electrical")
WATCHED: Plan = replace(
    JOB_INSPECTED,
    tasks=tuple(
        replace(each, witness=(LOOK,)) if each.key == BACKING.key else each for each in JOB_INSPECTED.tasks
    ),
)
SPREAD = f"{BACKING.key}#spread"
# What its people type, beside what the standing cast has.
TYPED = (
    "Foto de lo que se hizo",  # in both languages where work is added
    "Receptacle box loose",
    "Cover missing",
    "two brackets",
    "telephone",
    "P. Quill",
    "came late",
    "E-78",
    "E-79",
)


def site_with_all(derived: Plan = WATCHED) -> Site:
    """Cleared, not passed, put right, passed, cleared again."""
    site = build(derived=derived)
    _permitted_and_taken_back(site)
    _witnessed(site)
    _backed_out_of_tolerance(site)
    site.start(ROUGH.key, "electrician")
    site.photo(f"{ROUGH.key}#receptacle", "electrician")
    inspect(site, "passed")
    site.settle()
    _cleared(site)
    failed = inspect(site, "failed", BOX, COVER, number="E-78", again_on=site.at.date() + timedelta(days=9))
    for task in items_of(failed):
        put_right(site, task)
    inspect(site, "passed", number="E-79")
    _cleared(site)
    return site


def last_clearing(site: Site) -> Clearing:
    return Clearing.objects.select_related("gate__task__project__supplier", "event").get(
        pk=site.clearing("close-in").pk
    )


def _permitted_and_taken_back(site: Site) -> None:
    """A deviation permit before the work, which is ended before anything is built on it."""
    for role in ("coordinator", "contractor"):
        permit = site.concede(SPREAD, role, kind="deviation permit")
    actions.end_concession(site.project, site.who("coordinator"), site.step(), permit.uid, "wrong wall")


def _witnessed(site: Site) -> None:
    """The engineer is told a day ahead where two are asked for, and comes."""
    told = {"for_day": site.at.date() + timedelta(days=1), "how": "telephone"}
    task = site.task(BACKING.key).uid
    notice = actions.tell_witness(site.project, site.who("framer"), site.step(), task, "look", **told)
    site.step(days=1)
    came = {"attended": True, "who": "P. Quill", "note": "came late"}
    actions.say_attended(site.project, site.who("framer"), site.step(), notice.uid, **came)


def _backed_out_of_tolerance(site: Site) -> None:
    """The spread is out of tolerance and conceded; the crew refuses the work once."""
    site.start(BACKING.key, "framer")
    site.photo(f"{BACKING.key}#left", "framer")
    site.read(SPREAD, "framer", '32"')
    for role in ("coordinator", "contractor"):
        site.concede(SPREAD, role, quantity="two brackets")
    site.review(f"{BACKING.key}#left", "contractor")
    site.answer(site.offer(BACKING.key, "framer"), RAILS.key, "crew", "refused", "blocking stops short")
    site.answer(site.offer(BACKING.key, "framer"), RAILS.key, "crew")


def _cleared(site: Site) -> None:
    for role in ("contractor", "crew"):
        site.sign("close-in", role)
    site.clear("close-in")
