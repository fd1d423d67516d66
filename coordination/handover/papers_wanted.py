"""Which reports somebody asked for, besides those that every clearing gets. Found from state."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, QuerySet

from coordination.access.models import Project
from coordination.handover.models import Report, ReportWish

REPORT_LANGUAGES = ("en-us", "es")
REPORT_PAPERS = ("letter", "a4")


@dataclass(frozen=True)
class Wanted:
    """A report of one clearing that is not there yet. ``key`` is its name in the background."""

    clearing: str
    language: str
    paper: str

    @property
    def key(self) -> str:
        return f"{self.clearing}/{self.language}/{self.paper}"


def usual_paper(code_set: str) -> str:
    """The size of paper that a code set's readers print on."""
    return {"us": "letter", "en": "a4"}.get(code_set, REPORT_PAPERS[0])


def reports_wished() -> Iterator[str]:
    """Keys ``clearing/language/paper`` of reports that somebody asked for and that are not made yet."""
    for wanted in _wished(ReportWish.objects.all()):
        yield wanted.key


def wished_of(project: Project) -> dict[str, list[Wanted]]:
    """The wishes of a project that are still to be made, by the clearing's uid."""
    found: dict[str, list[Wanted]] = {}
    for wanted in _wished(ReportWish.objects.filter(clearing__gate__task__project=project)):
        found.setdefault(wanted.clearing, []).append(wanted)
    return found


def _wished(wishes: QuerySet[ReportWish]) -> Iterator[Wanted]:
    made = Report.objects.filter(
        clearing=OuterRef("clearing"),
        kind="gate report",
        language=OuterRef("language"),
        paper=OuterRef("paper"),
    )
    rows = wishes.filter(~Exists(made)).order_by("at", "pk")
    for uid, language, paper in rows.values_list("clearing__uid", "language", "paper"):
        yield Wanted(str(uid), language, paper)
