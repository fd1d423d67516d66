"""Every gate of a thousand sites judged in one pass, against ten: as many queries, and the time that a site takes."""

# ruff: noqa: T201

from dataclasses import replace
from time import process_time

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coordination.access import actions as access
from coordination.gates.queries import scenes
from tests.benchmarks.side_by_side import medians
from tests.gates.sites import JOB, Site, build
from tests.standing_cast import AT

FEW, MANY = 10, 1_000
QUERIES = 21


def sites():
    """Sites of the small job."""
    first = build()
    yield first.project
    cast = first.cast
    for number in range(1, MANY):
        project = access.open_project(
            cast.supplier,
            cast.people["coordinator"],
            cast.companies["supplier"],
            name=f"Street {number}",
            at=AT,
            zone="America/New_York",
        )
        site = Site(replace(cast, project=project))
        site.accept(JOB)
        yield project


def judged(projects):
    """The state of every gate, by project and key."""
    return {
        (key, gate): ready.state
        for key, scene in scenes(projects, AT).items()
        for gate, ready in scene.assessment.gates.items()
    }


@pytest.mark.django_db
def test_a_thousand_sites_in_one_pass():
    """A site among a thousand takes no more than one and a half times what it takes among ten."""
    every = [*sites()]
    counted = []
    for number in (FEW, MANY):
        with CaptureQueriesContext(connection) as asked:
            found = judged(every[:number])
        counted.append(len(asked))
        assert len(found) == 2 * number
    few, many = medians(lambda: judged(every[:FEW]), lambda: judged(every), rounds=5, clock=process_time)
    ratio = (many / MANY) / (few / FEW)
    print(
        f"\ngates of {MANY} sites: {many:.2f} s of processor, {counted[1]} queries; of {FEW}: {few * 1000:.0f} ms, "
        f"{counted[0]} queries; a site among many takes {ratio:.2f} of one among few"
    )
    assert counted == [QUERIES, QUERIES]
    assert ratio < 1.5
