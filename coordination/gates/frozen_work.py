"""The part of a snapshot that says what was done: tasks, what they had to show, what was shown, who took it over."""

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime
from functools import cached_property
from typing import Any

from coordination.evidence.mark_words import frozen
from coordination.evidence.models import Rendition
from coordination.evidence.outcomes import Item, StandingMark
from coordination.gates.models import Answer, AnswerPhotoCopy, Offer
from coordination.gates.refusal_photos import RefusalPhoto, photos_of, reasons_of
from coordination.gates.scene import Scene
from coordination.gates.standing import answer_on
from coordination.gates.variances import is_variance
from coordination.projects.models import Link, Requirement, Task
from coordination.readiness import Assessment, is_shown

PRINTED = 1600
Values = dict[str, Any]


def how_met(row: Requirement, scene: Scene) -> str:
    """As a reading says it, with ``varied`` for what an authority let go."""
    how, granted = scene.reading.how(row), scene.holding.standing_concession.get(row.pk)
    return "varied" if how == "conceded" and is_variance(granted) else how


class FrozenWork:
    """Tasks of a scene as plain values; their states as ``judged``; ``unpictured``: why a photo has no copy."""

    def __init__(self, scene: Scene, judged: Assessment, unpictured: Mapping[int, str] | None = None) -> None:
        self.scene, self.holding, self.judged = scene, scene.holding, judged
        self.unpictured = unpictured or {}

    def task(self, task: Task) -> Values:
        derived = task.derived
        return {
            "key": task.key,
            "uid": str(task.uid),
            "place": task.place,
            "trade": task.trade,
            "package": task.package,
            "company": self.holding.company_of(task.trade)[0],
            "text": derived.get("text", {}),
            "first_line": derived.get("first_line", {}),
            "state": self.judged.tasks[task.key].state,
            "provisional": task.provisional,
            "own": task.own,
            "begun_on": day_of(task.begun_on),
            "finished_on": day_of(task.finished_on),
            "cautions": list(derived.get("cautions", ())),
            "requirements": [self.requirement(row) for row in self.holding.requirements_of[task.pk]],
            "handoffs": self.handoffs(task),
            "refusals": self.refusals(task),
        }

    def requirement(self, row: Requirement) -> Values:
        shown, terms = self.holding.shown[row.pk], row.terms
        series = {"series": terms["series"]} if terms.get("series") else {}
        return {
            **series,
            "key": row.key,
            "uid": str(row.uid),
            "kind": row.kind,
            "text": terms.get("text", {}),
            "unit": terms.get("unit", ""),
            "low": terms.get("low"),
            "high": terms.get("high"),
            "nominal": terms.get("nominal"),
            "source": terms.get("source", {}),
            "terms_sha": row.terms_sha,
            "lift_critical": row.lift_critical,
            "release": row.release or None,
            "outcome": shown.outcome,
            "how": self._how(row),
            "evidence": [self.evidence(item, row) for item in shown.standing],
        }

    def _how(self, row: Requirement) -> str:
        how = how_met(row, self.scene)
        need = self.scene.reading.needs[self.holding.key_of(row)]
        return "done" if how == "accepted" and not row.accepts and is_shown(need) else how

    def evidence(self, item: Item, row: Requirement) -> Values:
        evidence = item.evidence
        return {
            "uid": str(evidence.uid),
            "sha256": evidence.blob.sha256 if evidence.blob else None,
            "size": evidence.blob.size if evidence.blob else None,
            "media_type": evidence.blob.media_type if evidence.blob else None,
            "file_name": evidence.file_name,
            "rendition": _rendition(item),
            "no_picture": "" if _rendition(item) else self.unpictured.get(evidence.pk, ""),
            "value": evidence.value,
            "typed": evidence.typed,
            "unit": row.terms.get("unit", ""),
            "in_tolerance": evidence.in_tolerance,
            "instrument": evidence.instrument,
            "number": evidence.number,
            "result": evidence.result,
            "dated": day_of(evidence.dated),
            "note": evidence.note,
            "taken_at": moment_of(evidence.taken_at),
            "taken_by": evidence.taken_by,
            "received_at": moment_of(evidence.received_at),
            "sender": evidence.sender_name,
            "entered_for": evidence.entered_for,
            "entry_source": evidence.entry_source,
            "review": _review(item),
            "marks": [_mark(mark) for mark in item.marks],
        }

    def handoffs(self, task: Task) -> list[Values]:
        found = []
        for link in self.holding.links_out_of[task.pk]:
            answer = answer_on(link, self.holding) if link.handoff else None
            if answer is not None:
                after = self.holding.task[link.after_id]
                found.append(
                    {
                        "to": after.key,
                        "receiver": self.holding.company_of(after.trade)[0] or after.trade,
                        "outcome": answer.outcome,
                        "by": answer.answered_name,
                        "at": moment_of(answer.at),
                        "entered_for": answer.entered_for,
                        "entry_source": answer.entry_source,
                        "way": answer.way,
                        "instead_of": answer.instead_of,
                        "reasons": answer.reasons,
                        "answer_by": moment_of(self._offers[answer.offer_id].answer_by),
                    }
                )
        return found

    def refusals(self, task: Task) -> list[Values]:
        """What its receivers refused in any round, oldest first, with the photos of what was wrong."""
        offers = {offer.pk for offer in self.holding.offers if offer.task_id == task.pk}
        return [
            self.refusal(answer)
            for answer in self.holding.answers
            if answer.offer_id in offers and answer.outcome == "refused" and answer.link_id in self._links
        ]

    def refusal(self, answer: Answer) -> Values:
        photos = self._photos.get(answer.pk, ())
        after = self.holding.task[self._links[answer.link_id].after_id]
        return {
            "round": self._offers[answer.offer_id].round,
            "to": after.key,
            "receiver": self.holding.company_of(after.trade)[0] or after.trade,
            "by": answer.answered_name,
            "at": moment_of(answer.at),
            "entered_for": answer.entered_for,
            "entry_source": answer.entry_source,
            "reasons": reasons_of(answer, photos),
            "photos": [
                {
                    "uid": str(photo.row.uid),
                    "sha256": photo.row.blob.sha256,
                    "size": photo.row.blob.size,
                    "media_type": photo.row.blob.media_type,
                    "file_name": photo.row.file_name,
                    "rendition": _pinned(photo.copies.get(PRINTED)),
                    "taken_at": moment_of(photo.row.taken_at),
                    "received_at": moment_of(answer.at),
                    "marks": [_mark(mark) for mark in photo.marks],
                }
                for photo in photos
            ],
        }

    @cached_property
    def _offers(self) -> dict[int, Offer]:
        return {offer.pk: offer for offer in self.holding.offers}

    @cached_property
    def _links(self) -> dict[int, Link]:
        return {link.pk: link for link in self.holding.links}

    @cached_property
    def _photos(self) -> Mapping[int, Sequence[RefusalPhoto]]:
        return photos_of(self.holding.answers)


def _rendition(item: Item) -> Values | None:
    return _pinned(item.renditions.get(PRINTED))


def _pinned(row: Rendition | AnswerPhotoCopy | None) -> Values | None:
    return {"sha256": row.blob.sha256, "width": row.width, "height": row.height} if row else None


def _review(item: Item) -> Values | None:
    if item.review is None:
        return None
    return {
        "outcome": item.review.outcome,
        "reasons": item.review.reasons,
        "reviewer": item.review.reviewer_name,
        "at": moment_of(item.review.at),
    }


def _mark(mark: StandingMark) -> Values:
    row = mark.row
    told = {"uid": str(row.uid), "length": row.length, "by": row.by_name, "at": moment_of(row.at)}
    return {**frozen(row), **told, "reason": mark.is_reason}


def moment_of(at: datetime | None) -> str | None:
    return at.astimezone(UTC).isoformat() if at else None


def day_of(day: date | None) -> str | None:
    return day.isoformat() if day else None
