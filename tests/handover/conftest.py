"""The small job with its first gate cleared."""

import pytest

from coordination.gates.models import Clearing
from tests.gates.sites import Site, build


@pytest.fixture
def site(db: None) -> Site:
    site = build()
    site.signed()
    site.clear("close-in")
    return site


@pytest.fixture
def clearing(site: Site) -> Clearing:
    return Clearing.objects.select_related("gate__task__project__supplier", "event").get()
