"""The demo's sites that are still being planned: made by actions alone, with crews and a levelling to begin."""

from datetime import UTC, datetime, timedelta

import pytest

from coordination.access.models import Project
from coordination.console.demo.cast import assemble
from coordination.console.demo.more_sites import plan_more_sites
from coordination.console.demo.only_actions import only_actions
from coordination.dates.levelling_runs import unfinished
from coordination.dates.models import Crew, Levelling, SiteAsks
from coordination.dates.portfolio_format import from_json

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 4, 15, tzinfo=UTC)


def test_two_sites_are_planned_and_two_crews_wait_to_be_sent():
    with only_actions():
        plan_more_sites(assemble(NOW - timedelta(days=100)), NOW)
    assert Project.objects.count() == SiteAsks.objects.count() == 2
    assert [(crew.name, len(crew.away)) for crew in Crew.objects.order_by("pk")] == [
        ("Marguerite’s crew", 0),
        ("Second crew", 40),
    ]
    (uid,) = unfinished(NOW)
    found = from_json(Levelling.objects.get(uid=uid).input)
    assert len(found.sites) == 2
    visits = {trip.partition("/")[2] for trip in found.problem.trips.values()}
    assert visits == {"rails", "return", "inspection"}
