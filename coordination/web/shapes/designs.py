"""A calculation handed in as evidence of design: its paper is made, taken in and handed in like any other."""

import hashlib
import uuid
from datetime import datetime
from typing import Any
from uuid import UUID

from coordination.access.visitors import Visitor
from coordination.evidence.actions import hand_in
from coordination.evidence.arrivals import Arrived, take_in
from coordination.evidence.designs import DesignPaper, attach_design
from coordination.evidence.entering import EnteredFor
from coordination.evidence.items import HandIn
from coordination.evidence.models import Design, Evidence
from coordination.web.forms.calculations import CalculationForm
from coordination.web.shapes.calculated import Calculated
from coordination.web.shapes.calculation_papers import calculation_paper
from coordination.web.shapes.design_needs import DesignNeed, DesignTask


def hand_in_result(
    visitor: Visitor, at: datetime, form: CalculationForm, found: Calculated, told: dict[str, Any]
) -> UUID:
    """The task for which the result was handed in. Sent twice, it is one paper. Raises Refusal."""
    if told["beside"] is not None:
        return _kept_beside(visitor, at, form, found, told)
    need: DesignNeed = told["need"]
    key = uuid.uuid5(told["key"], f"{form.calculation.name}\n{found.given}\n{need.value}")
    if Evidence.objects.filter(sender_key=key).exists():
        return need.task
    file_name, arrived = _paper(visitor, at, found, told, (form, need.words))
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


def _kept_beside(
    visitor: Visitor, at: datetime, form: CalculationForm, found: Calculated, told: dict[str, Any]
) -> UUID:
    """The task beside which the result is kept."""
    task: DesignTask = told["beside"]
    name = form.calculation.name
    key = uuid.uuid5(told["key"], f"{name}\n{found.given}\n{task.uid}")
    if Design.objects.filter(sender_key=key).exists():
        return task.uid
    file_name, arrived = _paper(visitor, at, found, told, (form, task.words))
    paper = DesignPaper(key, name, found.given, arrived.blob, file_name, told["source"], told["note"])
    attach_design(visitor.project, visitor, at, task.uid, paper)
    return task.uid


def _paper(
    visitor: Visitor,
    at: datetime,
    found: Calculated,
    told: dict[str, Any],
    about: tuple[CalculationForm, str],
) -> tuple[str, Arrived]:
    """The name of the PDF and where it lies; ``about`` is the calculation's form and what the paper is for."""
    form, for_what = about
    content = calculation_paper(visitor, at, form, found, for_what=for_what, source=told["source"])
    digest = hashlib.sha256(found.given.encode()).hexdigest()[:8]
    file_name = f"{form.calculation.name.replace('_', '-')}-{digest}.pdf"
    return file_name, take_in(visitor.project, content, kind="document", file_name=file_name)
