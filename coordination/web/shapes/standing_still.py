"""What the program tried too often for one project and left to a person: said, not hidden."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from coordination.access.models import Project
from coordination.background.models import Lease
from coordination.background.queries import given_up
from coordination.evidence.models import Evidence
from coordination.gates.models import AnswerPhoto, Clearing
from coordination.handover.models import Pack
from coordination.handover.papers_for_strangers import papers_of
from coordination.notices.models import Message

WHAT: Mapping[str, str | Promise] = {
    "renditions": _("The small copies of a photo could not be made"),
    "refusal photos": _("The small copies of a photo of a refusal could not be made"),
    "papers": _("The copy of a document for those who do not get the original could not be made"),
    "reports": _("A report could not be made"),
    "packs": _("Papers to take along could not be packed"),
    "following": _("What follows from time and facts could not be settled"),
    "halves": _("What phones had sent only half of could not be removed"),
    "attempts": _("Old counters of attempts to come in could not be removed"),
    "files": _("Files that nobody claimed could not be removed"),
    "messages": _("Nobody could be told of the newest decisions"),
    "levelling": _("The crews’ days could not be searched for a better order"),
    "reminders": _("Nobody could be reminded of an answer"),
    "mails": _("A mail could not be sent"),
}


@dataclass(frozen=True)
class StandingStill:
    """One piece of work that was given up, after so many attempts."""

    what: str
    attempts: int


def standing_still(project: Project) -> list[StandingStill]:
    """By kind, then in the order of their keys; a constant number of queries where nothing stands still."""
    return [StandingStill(str(WHAT[lease.kind]), lease.attempts) for lease in _of(project, list(given_up()))]


def _of(project: Project, leases: list[Lease]) -> Iterator[Lease]:
    """Those that belong to the project, by what their keys name."""
    keys = {kind: [lease.key for lease in leases if lease.kind == kind] for kind in WHAT}
    own = {
        "renditions": _as_texts(
            Evidence.objects.filter(pk__in=_numbers(keys["renditions"]), requirement__task__project=project)
        ),
        "refusal photos": _as_texts(
            AnswerPhoto.objects.filter(
                pk__in=_numbers(keys["refusal photos"]), answer__offer__task__project=project
            )
        ),
        "papers": papers_of(project, _numbers(keys["papers"])),
        "reports": _reports_of(project, keys["reports"]),
        "packs": {
            str(uid)
            for uid in Pack.objects.filter(uid__in=keys["packs"], project=project).values_list(
                "uid", flat=True
            )
        },
        "reminders": {str(project.uid)},
        "following": {str(project.uid)},
        "messages": {project.stream},
        "mails": _as_texts(
            Message.objects.filter(pk__in=_numbers(keys["mails"]), event__stream=project.stream)
        ),
    }
    return (lease for lease in leases if lease.key in own.get(lease.kind, ()))


def _reports_of(project: Project, keys: list[str]) -> set[str]:
    """Those of the keys, each a clearing's uid with language and paper behind it, that are of the project."""
    uids = {key: key.partition("/")[0] for key in keys}
    own = Clearing.objects.filter(uid__in=uids.values(), gate__task__project=project)
    of_project = {str(uid) for uid in own.values_list("uid", flat=True)}
    return {key for key, uid in uids.items() if uid in of_project}


def _as_texts(rows: object) -> set[str]:
    return {str(pk) for pk in rows.values_list("pk", flat=True)}  # type: ignore[attr-defined]


def _numbers(keys: list[str]) -> list[int]:
    return [int(key) for key in keys if key.isdecimal()]
