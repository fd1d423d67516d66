"""What else may be done to a requirement on the site's sheet, and what was said of it so far."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.urls import reverse
from django.utils.translation import gettext as _

from coordination.access.permissions import Scope, may
from coordination.access.visitors import Visitor
from coordination.evidence.models import Review
from coordination.evidence.outcomes import Item
from coordination.gates.actions.conceding import right_to_end
from coordination.gates.models import VARIANCE, Concession
from coordination.gates.queries import Scene
from coordination.gates.refusal_words import reason_words
from coordination.projects.models import Requirement, Task
from coordination.web.forms.evidence import ConcessionForm
from coordination.web.shapes.needs import Need
from coordination.web.shapes.refusal_reasons import reasons_of
from coordination.web.words import LOOKS, ROLES


@dataclass(frozen=True)
class Said:
    """One word of a reviewer."""

    state: str
    by: str
    at: datetime
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class AskedFor:
    """A concession for which not everybody has spoken yet."""

    reason: str
    scope: str
    expires_on: date | None
    spoken: str
    lacking: str


@dataclass(frozen=True)
class Doings:
    """Addresses are empty where the visitor may not, or where there is nothing to do it to."""

    review: str
    take_back: str
    reasons: tuple[tuple[str, str], ...]
    withdraw: str
    withdrawable: tuple[tuple[UUID, str], ...]
    concede: str
    concession: ConcessionForm | None
    conceding: str
    asked_for: AskedFor | None
    vary: str
    end: str
    end_words: str
    ending: UUID | None
    said: tuple[Said, ...]


Words = Mapping[UUID, Sequence[Said]]


def words_on(needs: Iterable[UUID]) -> Words:
    """By requirement, everything reviewers ever said, newest first; a word on several photos together once."""
    asked, found = list(needs), dict[UUID, dict[int, Said]]()
    rows = Review.objects.filter(evidence__requirement__uid__in=asked).order_by("-pk")
    for review in rows.select_related("evidence__requirement"):
        word = Said(review.outcome, review.reviewer_name, review.at, tuple(reason_words(review.reasons)))
        found.setdefault(review.evidence.requirement.uid, {}).setdefault(review.event_id, word)
    return {uid: tuple(words.values()) for uid, words in found.items()}


def doings_of(need: Need, scene: Scene, visitor: Visitor, said: Sequence[Said]) -> Doings:
    row = scene.requirement(need.uid)
    shown, task = scene.holding.shown[row.pk], scene.holding.task[row.task_id]
    reviews = may(visitor, "review evidence", Scope(accepts=row.accepts, deputy=row.deputy))
    withdrawable = tuple(_withdrawable(shown.standing)) if _may_withdraw(row, task, visitor) else ()
    concedes = _may_concede(row, need, visitor)
    ending = _may_end(row, scene, visitor)
    return Doings(
        review=_queue(row, scene) if reviews and shown.reviewable else "",
        take_back=_address(row, scene, "take-back")
        if reviews and row.accepts and shown.outcome == "accepted"
        else "",
        reasons=reasons_of(row, scene) if reviews and row.accepts and shown.outcome == "accepted" else (),
        withdraw=_address(row, scene, "withdraw") if withdrawable else "",
        withdrawable=withdrawable,
        concede=_address(row, scene, "concede") if concedes else "",
        concession=ConcessionForm(auto_id=f"concede-{row.uid}-%s") if concedes else None,
        conceding=_conceding(row, task),
        asked_for=_asked_for(row, scene),
        vary=_vary(row, scene) if _may_vary(row, need, visitor) else "",
        end=_address(row, scene, "end-concession") if ending else "",
        end_words=_end_words(row, scene),
        ending=ending,
        said=tuple(said),
    )


def _may_withdraw(row: Requirement, task: Task, visitor: Visitor) -> bool:
    verb = "attach an authority's document" if row.release else "withdraw evidence"
    return may(visitor, verb, Scope(trade=task.trade))


def _may_concede(row: Requirement, need: Need, visitor: Visitor) -> bool:
    if row.release or not row.concede or need.satisfied:
        return False
    return may(visitor, "grant a concession", Scope(concede=tuple(row.concede)))


def _may_vary(row: Requirement, need: Need, visitor: Visitor) -> bool:
    """Where nobody may let it go, only an authority's variance does."""
    none = not row.release and not row.concede and not need.satisfied
    return none and may(visitor, "attach an authority's document")


def _vary(row: Requirement, scene: Scene) -> str:
    return reverse("variance", args=[scene.holding.project.uid, row.uid])


def _end_words(row: Requirement, scene: Scene) -> str:
    asked = _not_ended(row, scene)
    if asked is not None and asked.kind == VARIANCE:
        return _("Take the variance back")
    return _("Drop what was asked for") if _asked_for(row, scene) else _("Take the concession back")


def _may_end(row: Requirement, scene: Scene, visitor: Visitor) -> UUID | None:
    """The concession that stands or is asked for, where the visitor is among those who decide on it."""
    asked = _not_ended(row, scene)
    if asked is None or not may(visitor, *right_to_end(asked, row.concede)):
        return None
    return asked.uid


def _not_ended(row: Requirement, scene: Scene) -> Concession | None:
    found = (item for item in scene.holding.concessions if item.requirement_id == row.pk)
    return next((item for item in found if item.ended_at is None), None)


def _conceding(row: Requirement, task: Task) -> str:
    """What it would be, and who has to speak for it."""
    roles = ", ".join(str(ROLES.get(role, role)) for role in row.concede)
    if task.begun_on is None:
        return _("Deviation permit, before the work begins. All of them must speak: %(roles)s.") % {
            "roles": roles
        }
    return _("Concession. All of them must speak: %(roles)s.") % {"roles": roles}


def _withdrawable(items: Iterable[Item]) -> Iterable[tuple[UUID, str]]:
    for number, item in enumerate(items, 1):
        row = item.evidence
        words = row.file_name or row.typed or row.number or str(number)
        state = str(LOOKS[item.review.outcome if item.review else "handed in"].word)
        yield row.uid, f"{words} ({state})"


def _asked_for(row: Requirement, scene: Scene) -> AskedFor | None:
    standing = scene.holding.standing_concession.get(row.pk)
    asked = _not_ended(row, scene)
    if standing is not None or asked is None or asked.terms_sha != row.terms_sha:
        return None
    voices = scene.holding.voices_of[asked.pk]
    spoken = {voice.role for voice in voices}
    return AskedFor(
        asked.reason,
        asked.scope,
        asked.expires_on,
        ", ".join(f"{voice.spoken_name} ({ROLES.get(voice.role, voice.role)})" for voice in voices),
        ", ".join(str(ROLES.get(role, role)) for role in asked.needs if role not in spoken),
    )


def _address(row: Requirement, scene: Scene, verb: str) -> str:
    return reverse("requirement-doing", args=[scene.holding.project.uid, row.uid, verb])


def _queue(row: Requirement, scene: Scene) -> str:
    return f"{reverse('reviews', args=[scene.holding.project.uid])}?look={row.uid}"
