"""How far a piece of background work is, in the states that a page tells apart."""

from datetime import UTC, datetime, timedelta

import pytest

from coordination.background import leasing
from coordination.background.models import Lease
from coordination.background.queries import Progress, progress_of

NOW = datetime(2026, 3, 2, 9, tzinfo=UTC)


@pytest.mark.django_db
def test_work_is_waited_for_at_it_tried_again_and_given_up():
    assert progress_of("papers") == {}
    lease = leasing.take("papers", "a", NOW, attempts=2)
    assert lease is not None
    assert progress_of("papers") == {"a": Progress("at it")}
    leasing.fail(lease, NOW, 2, "the disk is full")
    assert progress_of("papers") == {"a": Progress("again", NOW + leasing.FIRST_PAUSE)}
    second = leasing.take("papers", "a", NOW + timedelta(minutes=1), attempts=2)
    assert second is not None
    leasing.fail(second, NOW, 2, "the disk is full")
    assert progress_of("papers") == {"a": Progress("given up")}
    assert leasing.try_again(Lease.objects.get(), NOW)
    assert progress_of("papers")["a"].state in {"waits", "again"}
    assert progress_of("pictures") == {}
