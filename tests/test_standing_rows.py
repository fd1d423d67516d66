"""What comes again is what was made, and only in the same surroundings."""

import pytest
from django.db import transaction

from coordination.access.models import Company
from coordination.record.models import Event
from tests.gates.sites import BACKING, build
from tests.standing_cast import gather
from tests.standing_rows import _last_ids, _rows_after


def made(prefix: str = ""):
    """A job's rows and people, taken back again."""
    before = _last_ids()
    begin = transaction.savepoint()
    site = build(prefix)
    seen = {"rows": _rows_after(before), "people": site.cast.people}
    site.start(BACKING.key, "framer")
    seen["events"] = Event.objects.count()
    transaction.savepoint_rollback(begin)
    return seen


@pytest.mark.django_db
def test_the_same_surroundings_give_the_same_rows_and_the_work_goes_on():
    first, second = made(), made()
    assert first == second
    assert Company.objects.count() == 0


@pytest.mark.django_db
def test_in_other_surroundings_they_are_made_anew():
    gather("first.")
    begin = transaction.savepoint()
    known = gather("second.").people["framer"]
    transaction.savepoint_rollback(begin)
    Company.objects.create(supplier=gather("third.").supplier, name="Between")
    assert gather("second.").people["framer"].pk > known.pk
