"""Hints on photos in words: what is to be looked at twice. Of another photo nobody reads more than they may see."""

from collections.abc import Iterable, Mapping
from datetime import datetime

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.access.models import Person, Project
from coordination.access.permissions import may
from coordination.access.queries import visitor_for
from coordination.access.refusals import NotVisible
from coordination.access.visitors import Visitor
from coordination.evidence.hinting import Hint, Seen, hints_on
from coordination.evidence.models import Evidence
from coordination.evidence.outcomes import Item
from coordination.gates.calendars import local_moment
from coordination.gates.queries import Scene
from coordination.gates.sentences import of_task
from coordination.projects.models import Requirement
from coordination.web.shapes.scopes import scope_of
from coordination.web.texts import on_day

Hints = Mapping[int, tuple[str, ...]]


def hints_in(rows: Iterable[Requirement], scene: Scene, visitor: Visitor, *, every: bool = False) -> Hints:
    """By the evidence's own key, the sentences on what came for ``rows``; ``every``: what counts no more too."""
    task, shown = scene.holding.task, scene.holding.shown
    seen = [
        Seen(item.evidence, row, task[row.task_id])
        for row in rows
        for item in _looked_at(shown[row.pk].items if every else shown[row.pk].standing)
    ]
    return _in_words(seen, visitor)


def hints_for(evidence: Iterable[Evidence], visitor: Visitor) -> Hints:
    """The same for pieces of evidence by themselves, whose requirement and task are looked up."""
    return _in_words([Seen(row, row.requirement, row.requirement.task) for row in evidence], visitor)


def hint_words(hint: Hint, visitor: Visitor) -> str:
    """One sentence. Raises KeyError for a kind without words: a fault in our code."""
    if hint.kind == "alike":
        return _like(hint.others, visitor)
    days = (hint.day - hint.taken).days if hint.taken and hint.day else 0
    told = {
        "taken": on_day(hint.taken) if hint.taken else "",
        "day": on_day(hint.day) if hint.day else "",
        "pixels": hint.short_side,
        "days": days,
    }
    sentences = {
        "blurred": _("Looks blurred."),
        "dark": _("Very dark."),
        "small": _("Small: only %(pixels)d pixels on the shorter side."),
        "before the work": _("Taken on %(taken)s; this work began on %(day)s."),
        "long ago": ngettext(
            "Taken %(days)d day before it was handed in.",
            "Taken %(days)d days before it was handed in.",
            days,
        ),
        "far": _("By the position in the photo it was taken far from the site."),
    }
    return sentences[hint.kind] % told


def _looked_at(items: Iterable[Item]) -> list[Item]:
    return [item for item in items if item.evidence.blob_id is not None]


def _in_words(seen: Iterable[Seen], visitor: Visitor) -> Hints:
    return {
        key: tuple(hint_words(hint, visitor) for hint in hints)
        for key, hints in hints_on(visitor.project, seen).items()
    }


def _like(others: Iterable[Evidence], visitor: Visitor) -> str:
    """Named by its task only to whoever may see that task; to everybody else the same words, whatever it is."""
    for other in others:
        task = other.requirement.task
        there = _standing_on(task.project, visitor, other.received_at)
        if there is None or not may(there, "see a task", scope_of(task)):
            continue
        day = on_day(local_moment(task.project, other.received_at).date())
        told = {"task": of_task(task), "day": day, "site": task.project.name}
        if task.project_id == visitor.project.pk:
            return _("Looks like a photo handed in for %(task)s on %(day)s.") % told
        return _("Looks like a photo handed in for %(task)s at %(site)s on %(day)s.") % told
    return _("Looks like a photo used elsewhere.")


def _standing_on(project: Project, visitor: Visitor, at: datetime) -> Visitor | None:
    """``visitor`` as a visitor of another project, where the same somebody is a member there."""
    if project.pk == visitor.project.pk:
        return visitor
    kind, _colon, uid = visitor.identity.partition(":")
    if kind != "person":
        return None
    person = Person.objects.filter(uid=uid).first()
    try:
        return visitor_for(person=person, link_uids=[], project_uid=project.uid, at=at)
    except NotVisible:
        return None
