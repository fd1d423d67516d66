"""What counts for a requirement, out of everything that was handed in for it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Protocol

from coordination.evidence.models import FAILED, Evidence, MarkOverPhoto, Rendition, Review
from coordination.projects.models import Requirement
from coordination.readiness import Outcome


class Copies(Protocol):
    """Where the copies of many pictures are found, looked up only when the first of them is asked for."""

    def of(self, evidence: Evidence) -> Mapping[int, Rendition]: ...

    def marks_on(self, evidence: Evidence) -> Sequence["StandingMark"]: ...


@dataclass(frozen=True)
class StandingMark:
    """A mark that was not taken back. ``is_reason``: some refusal names it."""

    row: MarkOverPhoto
    is_reason: bool


@dataclass(frozen=True)
class Item:
    """One piece of evidence with the newest word on it."""

    evidence: Evidence
    review: Review | None
    copies: Copies
    superseded: bool = False

    @property
    def renditions(self) -> Mapping[int, Rendition]:
        """By longest side in pixels."""
        return self.copies.of(self.evidence)

    @property
    def marks(self) -> Sequence[StandingMark]:
        """What stands over the picture, by number."""
        return self.copies.marks_on(self.evidence)

    def counts_for(self, requirement: Requirement) -> bool:
        """Handed in under the current terms, and not withdrawn."""
        return self.evidence.withdrawn_at is None and self.evidence.terms_sha == requirement.terms_sha

    @property
    def order(self) -> int:
        return self.evidence.pk


@dataclass(frozen=True)
class Shown:
    """What stands for one requirement.

    ``standing`` are the items under the current terms that no newer one replaced; ``reviewable`` those nobody has
    reviewed yet; ``counted`` those that make the outcome. ``reasons`` are those of the newest refusal where the
    outcome is one.
    """

    requirement: Requirement
    items: tuple[Item, ...]
    standing: tuple[Item, ...]
    reviewable: tuple[Item, ...]
    counted: tuple[Item, ...]
    outcome: Outcome
    in_tolerance: bool | None
    released: bool
    reasons: tuple[str, ...]
    since: datetime | None


def shown(requirement: Requirement, items: Iterable[Item]) -> Shown:
    """Judge what was handed in for ``requirement``: the newest word stands, and silence is not a word."""
    given = tuple(sorted(items, key=lambda item: item.order))
    gone, waiting = _replaced(requirement, given)
    every = tuple(replace(item, superseded=True) if item.order in gone else item for item in given)
    standing = tuple(item for item in every if item.counts_for(requirement) and not item.superseded)
    reviewable = tuple(item for item in standing if item.review is None) if requirement.accepts else ()
    judged = tuple(item for item in standing if item.order not in waiting)
    outcome, counted = _outcome(requirement, judged, [item for item in reviewable if item in judged])
    return Shown(
        requirement=requirement,
        items=every,
        standing=standing,
        reviewable=reviewable,
        counted=counted,
        outcome=outcome,
        in_tolerance=_in_tolerance(counted),
        released=_released(requirement, outcome, counted),
        reasons=tuple(counted[-1].review.reasons) if outcome == "refused" and counted[-1].review else (),
        since=max((_moment(item) for item in counted), default=None),
    )


def _replaced(requirement: Requirement, items: Sequence[Item]) -> tuple[frozenset[int], frozenset[int]]:
    """Documents whose place a newer one took, and newer ones that do not count yet: until then the older stands.

    A newer one counts once it is accepted; where nobody reviews, at once.
    """
    standing = {item.evidence.pk: item for item in items if item.counts_for(requirement)}
    newer = [item for item in standing.values() if item.evidence.replaces_id in standing]
    counts = {item.order for item in newer if not requirement.accepts or _is_accepted(item)}
    gone = frozenset(item.evidence.replaces_id for item in newer if item.order in counts)
    return gone, frozenset(item.order for item in newer if item.order not in counts)


def _is_accepted(item: Item) -> bool:
    return item.review is not None and item.review.outcome == "accepted"


def _outcome(
    requirement: Requirement, standing: Sequence[Item], reviewable: Sequence[Item]
) -> tuple[Outcome, tuple[Item, ...]]:
    if not standing:
        return "none", ()
    if standing[-1].evidence.result == FAILED:
        return "failed", (standing[-1],)
    standing = [item for item in standing if item.evidence.result != FAILED]
    if not requirement.accepts:
        return "accepted", tuple(standing)
    if reviewable:
        return "handed in", tuple(reviewable)
    newest = max(standing, key=lambda item: item.review.pk if item.review else 0)
    outcome: Outcome = "accepted" if newest.review and newest.review.outcome == "accepted" else "refused"
    return outcome, tuple(item for item in standing if item.review and item.review.outcome == outcome)


def _in_tolerance(counted: Sequence[Item]) -> bool | None:
    """Of the newest reading: a place that was measured again is judged by what was measured last."""
    judged = [item.evidence.in_tolerance for item in counted if item.evidence.in_tolerance is not None]
    return judged[-1] if judged else None


def _released(requirement: Requirement, outcome: Outcome, counted: Sequence[Item]) -> bool:
    """Only the authority's own document, with number, date and file."""
    return (
        bool(requirement.release)
        and outcome == "accepted"
        and any(is_authority_document(item.evidence) for item in counted)
    )


def is_authority_document(evidence: Evidence) -> bool:
    return evidence.blob_id is not None and bool(evidence.number) and evidence.dated is not None


def _moment(item: Item) -> datetime:
    return item.review.at if item.review else item.evidence.received_at
