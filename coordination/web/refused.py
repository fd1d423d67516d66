"""Refusals of the floors below, for the reader: sentences, and what is missing with who owes it."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.utils.functional import Promise

from coordination.access.refusals import Reason, Refusal
from coordination.access.sentences import SENTENCES as OF_ACCESS
from coordination.access.sentences import sentence
from coordination.access.visitors import Visitor
from coordination.dates.sentences import SENTENCES as OF_DATES
from coordination.gates.queries import look_at
from coordination.gates.reasons import in_the_readers_words
from coordination.gates.sentences import REASONS as OF_GATES
from coordination.handover.sentences import SENTENCES as OF_HANDOVER
from coordination.readiness import Missing
from coordination.web.missing import missing_lines

SENTENCES: Mapping[str, str | Promise] = {**OF_GATES, **OF_DATES, **OF_HANDOVER, **OF_ACCESS}


def in_words(refusal: Refusal) -> list[str]:
    """Each Reason of the refusal as one sentence, in the order given."""
    reasons = [reason for reason in refusal.reasons if isinstance(reason, Reason)]
    return [sentence(in_the_readers_words(reason), SENTENCES) for reason in reasons]


def refusal_context(refusal: Refusal, visitor: Visitor | None, at: datetime) -> dict[str, Any]:
    """``reasons`` and ``missing`` for components/errors.html."""
    missing = [reason for reason in refusal.reasons if isinstance(reason, Missing)]
    context: dict[str, Any] = {"reasons": in_words(refusal)}
    if missing and visitor is not None:
        context["missing"] = missing_lines(missing, look_at(visitor.project, at).holding)
    return context
