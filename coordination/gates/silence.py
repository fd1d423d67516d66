"""What follows from a receiver's silence: nothing, unless a named person accepts in their place, where that may be."""

from collections.abc import Iterator
from datetime import datetime

from coordination.gates.holding import Holding
from coordination.gates.models import Offer


def why_only_the_receiver(holding: Holding, offer: Offer, at: datetime) -> Iterator[str]:
    """Keys of the reasons why nobody may accept this offer in the place of its receiver; none where somebody may.

    What has no concession is what an authority releases or what names nobody that could concede it: whoever may not go
    on without it may not take it over for somebody else either.
    """
    if offer.answer_by is None or at <= offer.answer_by:
        yield "answer time runs"
    rows = holding.requirements_of[offer.task_id]
    if any(row.lift_critical for row in rows):
        yield "only the receiver: lift-critical"
    if any(not row.concede for row in rows):
        yield "only the receiver: no concession"
