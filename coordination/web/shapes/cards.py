"""A requirement with the form under it, and with what came of the last sending."""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from django.conf import settings
from django.urls import reverse

from coordination.access.visitors import Visitor
from coordination.gates.queries import Scene
from coordination.web.forms.evidence import HandInForm
from coordination.web.handing_in import Handed, form_for
from coordination.web.shapes.doings import Doings, doings_of, words_on
from coordination.web.shapes.needs import Need
from coordination.web.shapes.task_sheets import TaskSheet

TYPED = frozenset({"reading", "series", "signature"})


@dataclass(frozen=True)
class Card:
    """For tasks/card.html. ``entering_for`` names the company where it is not one's own work."""

    need: Need
    form: HandInForm | None
    action: str
    check: str
    limit: int
    entering_for: str | None
    told: str = ""
    reasons: tuple[str, ...] = ()
    hints: tuple[str, ...] = ()
    heading: str = ""
    wrong: HandInForm | None = None
    doings: Doings | None = None
    before_begin: bool = False


def cards_of(
    sheet: TaskSheet,
    visitor: Visitor,
    *,
    scene: Scene,
    mine: bool,
    handed: Mapping[UUID, Handed] | None = None,
) -> list[Card]:
    """One card for each requirement; ``handed`` by requirement where something was just sent."""
    said = {} if mine else words_on(need.uid for need in sheet.needs)
    return [
        card_of(
            need,
            sheet.for_company,
            visitor,
            mine=mine,
            handed=(handed or {}).get(need.uid),
            doings=None if mine else doings_of(need, scene, visitor, said.get(need.uid, ())),
            before_begin=mine and sheet.begins_here and not need.release,
        )
        for need in sheet.needs
    ]


def card_of(
    need: Need,
    for_company: str | None,
    visitor: Visitor,
    *,
    mine: bool,
    handed: Handed | None = None,
    doings: Doings | None = None,
    before_begin: bool = False,
) -> Card:
    """A card with a fresh form, unless what was posted has to be put right in it.

    ``before_begin``: with a form that a phone without signal may show once it has kept that the work begins.
    """
    project = visitor.project.uid
    company = None if need.release else for_company
    wrong = handed.form if handed and handed.form.errors else None
    return Card(
        need=need,
        form=(_to_put_right(handed, need) or form_for(need, visitor, company))
        if need.open or before_begin
        else None,
        action=(
            reverse("my-handing-in", args=[project, need.uid])
            if mine
            else reverse("requirement-doing", args=[project, need.uid, "hand-in"])
        ),
        check=reverse("reading-check", args=[project, need.uid])
        if need.form_kind in {"reading", "series"}
        else "",
        limit=settings.UPLOAD_LIMIT,
        entering_for=company,
        told=handed.told if handed else "",
        reasons=tuple(handed.reasons) if handed else (),
        hints=tuple(handed.hints) if handed else (),
        heading=handed.heading if handed else "",
        wrong=wrong,
        doings=doings,
        before_begin=before_begin,
    )


def _to_put_right(handed: Handed | None, need: Need) -> HandInForm | None:
    """The form as it was posted, where something in it has to be altered; under the terms as they are now."""
    if handed is None or handed.well:
        return None
    typed = need.form_kind in TYPED and not handed.rows
    if not typed and not handed.form.errors:
        return None
    handed.form.data = {**handed.form.data.dict(), "terms": need.terms_sha}
    return handed.form
