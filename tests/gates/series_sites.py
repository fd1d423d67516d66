"""The small job with series of readings: a plumb survey asked of the framer, slab temperatures over days beside it."""

from dataclasses import replace

from coordination.siteprep.plan import Requirement as Asked
from coordination.siteprep.series import Mark, Series
from tests.gates.sites import BACKING, INCH, JOB, Site, build, reading

SURVEY, WARMTH = "backing@rail-wall#survey", "backing@rail-wall#warmth"
REVIEWED = {"accepts": "coordinator", "deputy": "contractor", "concede": ("coordinator",)}
SURVEYED = Series(
    (
        Mark("landing-1", {"en": "Landing 1", "es": "Piso 1"}),
        Mark("landing-2", {"en": "Landing 2", "es": "Piso 2"}),
    ),
    (
        Mark("left-a", {"en": "Left wall", "es": "Muro izquierdo"}),
        Mark("north", {"en": "North wall", "es": "Muro norte"}),
    ),
    "out of plumb",
)
WARMED = Series(
    (),
    (
        Mark("plate", {"en": "Under the plate", "es": "Bajo la placa"}),
        Mark("edge", {"en": "Edge", "es": "Borde"}),
    ),
    "least",
    feeds="concrete",
    by_day=True,
)
WHOLE = 'landing-1\t6"\t7"\nlanding-2\t6 1/4"\t7"'


def asked(key: str, series: Series, **more: object) -> Asked:
    return reading(BACKING.key, key, series=series, **{**REVIEWED, **more})


def with_series(*needs: Asked):
    """The small job, with more asked of the backing."""
    backing = replace(BACKING, requirements=(*BACKING.requirements, *needs))
    return replace(JOB, tasks=tuple(backing if each.key == BACKING.key else each for each in JOB.tasks))


MEASURED = with_series(
    asked("survey", SURVEYED, high=INCH // 2), asked("warmth", WARMED, unit="degree C", low=10)
)


def measured() -> Site:
    """The framer has begun."""
    site = build("", MEASURED)
    site.start(BACKING.key, "framer")
    return site
