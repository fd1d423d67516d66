"""What was let go on a site: by which kind of permission, on whose word, how far, and what did not conform."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coordination.access.permissions import Scope, may
from coordination.access.visitors import Visitor
from coordination.evidence.models import Review
from coordination.evidence.readings import shown
from coordination.gates.frozen_concessions import Permission, of_the_plan, of_what_left_the_plan
from coordination.gates.models import Concession
from coordination.gates.queries import Scene
from coordination.gates.reasons import KINDS
from coordination.gates.sentences import Names, authority_words, names_of, of_requirement
from coordination.gates.variances import variance_of
from coordination.projects.models import Requirement
from coordination.web.missing import sheet_of
from coordination.web.shapes.given_papers import Notes, notes_on
from coordination.web.texts import on_day
from coordination.web.words import AUTHORITIES, ROLES

STATES: dict[str, str | Promise] = {
    "stands": gettext_lazy("stands"),
    "asked for": gettext_lazy("asked for"),
    "ended": gettext_lazy("ended"),
}
MARKS = {"stands": "conceded", "asked for": "offered", "ended": "withdrawn"}


@dataclass(frozen=True)
class VoiceLine:
    """One role's word; without a name it is still awaited."""

    role: str
    name: str
    at: datetime | None


@dataclass(frozen=True)
class VarianceLine:
    """The authority's document; ``scan`` is empty for whoever may not open it, ``note`` says what they get."""

    authority: str
    number: str
    dated: date
    scan: str
    note: str


@dataclass(frozen=True)
class ConcessionLine:
    """One of them. ``found`` says what was shown and does not conform, empty before the work."""

    kind: str
    what: str
    task: str
    href: str
    state: str
    mark: str
    word: str
    reason: str
    scope: str
    limit: str
    found: str
    voices: tuple[VoiceLine, ...]
    variance: VarianceLine | None
    ended_at: datetime | None


@dataclass(frozen=True)
class NoneLine:
    """What nobody may let go, and who alone releases it."""

    what: str
    task: str
    href: str
    who: str


def concession_lines(scene: Scene, visitor: Visitor) -> list[ConcessionLine]:
    """Those that stand, those asked for, those that ended; each newest first, what left the plan last."""
    found = [*of_what_left_the_plan(scene.holding), *of_the_plan(scene.holding)]
    reviews, papers = _reviews(found), [variance_of(each.row) for each in found]
    notes = notes_on((paper.blob for paper in papers if paper is not None), visitor)
    lines = [_line(each, scene, visitor, reviews, notes) for each in reversed(found)]
    order = list(STATES)
    return sorted(lines, key=lambda line: order.index(line.state))


def none_lines(scene: Scene) -> list[NoneLine]:
    """What has no concession on this site: an authority’s own documents first, then what protects life or fits."""
    holding, names = scene.holding, Names(scene.holding)
    found = [row for row in holding.requirements if not row.concede and _live(row, scene)]
    return [
        NoneLine(
            capfirst(names.requirement(holding.key_of(row))),
            names.task(holding.task[row.task_id].key),
            sheet_of(holding)(holding.task[row.task_id]),
            str(AUTHORITIES[row.release]) if row.release else "",
        )
        for row in sorted(found, key=lambda row: (not row.release, row.pk))
    ]


def _live(row: Requirement, scene: Scene) -> bool:
    return scene.holding.task[row.task_id].retired_in is None


def _line(
    each: Permission, scene: Scene, visitor: Visitor, reviews: dict[int, Review], notes: Notes
) -> ConcessionLine:
    holding, row, need = scene.holding, each.row, each.need
    given = {voice.role: voice for voice in each.voices}
    stands = holding.standing_concession.get(need.pk) == row
    state = "stands" if stands else "asked for" if _is_asked_for(row, need, holding.today) else "ended"
    return ConcessionLine(
        kind=capfirst(str(KINDS[row.kind])),
        what=capfirst(of_requirement(need)),
        task=names_of(scene).task(each.task.key),
        href=_href(each, scene),
        state=state,
        mark=MARKS[state],
        word=str(STATES[state]),
        reason=row.reason,
        scope=row.scope,
        limit=_limit(row),
        found=_found(row, need, scene, reviews),
        voices=tuple(
            VoiceLine(
                str(ROLES.get(role, role)),
                given[role].spoken_name if role in given else "",
                given[role].at if role in given else None,
            )
            for role in row.needs
        ),
        variance=_variance(each, visitor, notes),
        ended_at=row.ended_at,
    )


def _href(each: Permission, scene: Scene) -> str:
    """The card on the sheet of its task; no sheet has what left the plan."""
    if each.need.retired_in is not None:
        return ""
    return f"{sheet_of(scene.holding)(each.task)}#need-{each.need.uid}"


def _variance(each: Permission, visitor: Visitor, notes: Notes) -> VarianceLine | None:
    paper = variance_of(each.row)
    if paper is None:
        return None
    whose = authority_words(paper.authority_kind, paper.authority_name)
    photographed = paper.blob.media_type.startswith("image/")
    if photographed and not may(visitor, "see photo originals", Scope(trade=each.task.trade)):
        others = _("The general contractor and the coordinator have the original.")
        return VarianceLine(whose, paper.number, paper.dated, "", others)
    scan = reverse("variance-scan", args=[each.row.uid])
    return VarianceLine(whose, paper.number, paper.dated, scan, notes.get(paper.blob_id, ""))


def _is_asked_for(row: Concession, need: Requirement, today: date) -> bool:
    in_time = row.expires_on is None or row.expires_on >= today
    still = row.ended_at is None and need.retired_in is None
    return still and row.terms_sha == need.terms_sha and in_time


def _limit(row: Concession) -> str:
    until = _("until %(day)s") % {"day": on_day(row.expires_on)} if row.expires_on else ""
    return ", ".join(filter(None, (until, row.quantity))) or _("no day and no quantity set")


def _found(row: Concession, need: Requirement, scene: Scene, reviews: dict[int, Review]) -> str:
    """What does not conform, with the reasons of the refusal; it stays on record."""
    evidence = row.nonconformity
    if evidence is None:
        return ""
    unit = need.terms.get("unit") or "count"
    read = shown(evidence.value, unit, scene.holding.units) if need.kind == "reading" else evidence.file_name
    review = reviews.get(evidence.pk)
    told = [read or evidence.typed]
    if evidence.in_tolerance is False:
        told.append(_("out of tolerance"))
    if review is not None and review.outcome == "refused":
        told.append(_("refused: %(reasons)s") % {"reasons": "; ".join(review.reasons)})
    return ", ".join(filter(None, told))


def _reviews(found: Iterable[Permission]) -> dict[int, Review]:
    """The newest word on each piece of evidence that one of them names."""
    keys = [each.row.nonconformity_id for each in found if each.row.nonconformity_id]
    return {row.evidence_id: row for row in Review.objects.filter(evidence__in=keys).order_by("pk")}
