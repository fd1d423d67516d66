"""The small job, fresh for each test."""

import pytest

from tests.gates.sites import Site, build


@pytest.fixture
def site(db: None) -> Site:
    return build()
