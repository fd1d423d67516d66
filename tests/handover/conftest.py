"""The small job with its first gate cleared."""

from collections.abc import Callable

import pytest

from coordination.evidence.models import Evidence
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


@pytest.fixture
def attached(site: Site) -> Callable[[bytes], Evidence]:
    """The electrical authority's document, handed in anew as a PDF; the one before is withdrawn."""

    def attach(content: bytes) -> Evidence:
        need = site.need("rough@pit#inspection")
        for row in Evidence.objects.filter(requirement=need, withdrawn_at=None):
            site.withdraw(row, "contractor", "not readable")
        return site.document("rough@pit#inspection", "contractor", content, number=f"E-{site.shade}")

    return attach
