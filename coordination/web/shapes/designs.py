"""A calculation handed in as evidence of design: its paper is made, taken in and handed in like any other."""

import hashlib
import uuid
from datetime import datetime
from typing import Any
from uuid import UUID

from coordination.access.visitors import Visitor
from coordination.evidence.actions import HandIn, hand_in
from coordination.evidence.arrivals import take_in
from coordination.evidence.entering import EnteredFor
from coordination.evidence.models import Evidence
from coordination.web.forms.calculations import CalculationForm
from coordination.web.shapes.calculated import Calculated
from coordination.web.shapes.calculation_papers import calculation_paper
from coordination.web.shapes.design_needs import DesignNeed


def hand_in_result(
    visitor: Visitor, at: datetime, form: CalculationForm, found: Calculated, told: dict[str, Any]
) -> UUID:
    """The task for which the result was handed in. Sent twice, it is one paper. Raises Refusal."""
    need: DesignNeed = told["need"]
    name = form.calculation.name
    key = uuid.uuid5(told["key"], f"{name}\n{found.given}\n{need.value}")
    if Evidence.objects.filter(sender_key=key).exists():
        return need.task
    content = calculation_paper(visitor, at, form, found, for_what=need.words, source=told["source"])
    file_name = f"{name.replace('_', '-')}-{hashlib.sha256(found.given.encode()).hexdigest()[:8]}.pdf"
    arrived = take_in(visitor.project, content, kind="document", file_name=file_name)
    for_other = None if need.for_company is None else EnteredFor(told["source"], need.for_company)
    item = HandIn(key, blob=arrived.blob, image=arrived.image, file_name=file_name, note=told["note"])
    hand_in(
        visitor.project,
        visitor,
        at,
        need.requirement,
        item,
        for_other=for_other,
        terms_sha=need.terms_sha,
    )
    return need.task
