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
from coordination.web.shapes.doings import Doings, doings_of
from coordination.web.shapes.needs import Need
from coordination.web.shapes.task_sheets import TaskSheet

TYPED = frozenset({"reading", "signature"})


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
    heading: str = ""
    wrong: HandInForm | None = None
    doings: Doings | None = None


def cards_of(
    sheet: TaskSheet,
    visitor: Visitor,
    *,
    scene: Scene,
    mine: bool,
    handed: Mapping[UUID, Handed] | None = None,
) -> list[Card]:
    """One card for each requirement; ``handed`` by requirement where something was just sent."""
    return [
        card_of(need, sheet.for_company, visitor, scene=scene, mine=mine, handed=(handed or {}).get(need.uid))
        for need in sheet.needs
    ]


def card_of(
    need: Need,
    for_company: str | None,
    visitor: Visitor,
    *,
    scene: Scene,
    mine: bool,
    handed: Handed | None = None,
) -> Card:
    """A card with a fresh form, unless what was posted has to be put right in it.

    On the trade's own page only that; on the site's sheet also what else may be done, and what was said so far.
    """
    project = visitor.project.uid
    company = None if need.release else for_company
    wrong = handed.form if handed and handed.form.is_bound and handed.form.errors else None
    retry = (
        handed.form if handed and handed.reasons and not handed.rows and need.form_kind in TYPED else wrong
    )
    return Card(
        need=need,
        form=(retry or form_for(need, visitor, company)) if need.open else None,
        action=(
            reverse("my-handing-in", args=[project, need.uid])
            if mine
            else reverse("requirement-doing", args=[project, need.uid, "hand-in"])
        ),
        check=reverse("reading-check", args=[project, need.uid]) if need.form_kind == "reading" else "",
        limit=settings.UPLOAD_LIMIT,
        entering_for=company,
        told=handed.told if handed else "",
        reasons=tuple(handed.reasons) if handed else (),
        heading=handed.heading if handed else "",
        wrong=wrong,
        doings=None if mine else doings_of(need, scene, visitor),
    )
