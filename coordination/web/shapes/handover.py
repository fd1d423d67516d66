"""Reports, official results and remarks as the inspector's page shows them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.urls import reverse
from django.utils.formats import number_format
from django.utils.text import capfirst
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from coordination.access.models import Project
from coordination.background.queries import Progress
from coordination.evidence.strangers_words import GIVEN_AS, NOT_GIVEN
from coordination.files.models import Blob
from coordination.gates.sentences import Names, cause_words
from coordination.handover.papers_wanted import REPORT_LANGUAGES, REPORT_PAPERS
from coordination.handover.queries import OfficialResult, Paper, RemarkView, Round
from coordination.web.forms.handover import RemarkForm
from coordination.web.languages import own_names
from coordination.web.texts import said
from coordination.web.words import AUTHORITIES


@dataclass(frozen=True)
class PaperLine:
    """One PDF: what is printed on it, and what it must weigh and hash to. ``edition``: its language and size."""

    code: str
    edition: str
    sha256: str
    size: int
    href: str
    remark_href: str
    form: RemarkForm | None

    @property
    def grouped(self) -> str:
        """The size as it is compared by eye, digits in threes."""
        return number_format(self.size, force_grouping=True)


@dataclass(frozen=True)
class ComingLine:
    """A report that was asked for and is not there yet."""

    edition: str
    making: Progress


@dataclass(frozen=True)
class RoundLine:
    """One clearing of a gate, its papers, and what was remarked on it."""

    uid: UUID
    gate: str
    number: int
    cleared_at: datetime
    reopened_at: datetime | None
    causes: tuple[str, ...]
    superseded_by: str
    papers: tuple[PaperLine, ...]
    remarks: tuple[RemarkView, ...]
    making: Progress
    stuck: bool
    coming: tuple[ComingLine, ...]
    offered: tuple[tuple[str, str], ...]

    @property
    def waits(self) -> bool:
        """Whether the page looks again by itself: something is being made."""
        return (not self.stuck and not self.papers) or any(
            each.making.state != "given up" for each in self.coming
        )

    @property
    def state(self) -> str:
        return "reopened" if self.reopened_at else "cleared"


@dataclass(frozen=True)
class ResultLine:
    """An authority's own document. ``href`` is empty while its copy is being made, and where ``why_not`` says why.

    ``given_as`` says what a stranger gets, ``given_sha`` is its SHA-256.
    """

    authority: str
    what: str
    number: str
    dated: date
    file_name: str
    sha256: str
    href: str
    given_as: str
    given_sha: str
    why_not: str


def round_lines(
    found: Iterable[Round],
    remarks: Iterable[RemarkView],
    address: Mapping[str, tuple[str, str]],
    forms: Mapping[str, RemarkForm],
    names: Names | None,
) -> list[RoundLine]:
    """Newest first. ``address`` gives a paper's own address and that of its remarks, by code.

    ``names`` are needed where a gate has reopened.
    """
    on: dict[UUID, list[RemarkView]] = {}
    for remark in remarks:
        on.setdefault(remark.clearing_uid, []).append(remark)
    return [
        RoundLine(
            uid=item.clearing_uid,
            gate=said(item.gate_text),
            number=item.number,
            cleared_at=item.cleared_at,
            reopened_at=item.reopened_at,
            causes=tuple(cause_words(cause, names) for cause in item.because),
            superseded_by=item.superseded_by.code if item.superseded_by else "",
            papers=tuple(_paper(paper, address, forms) for paper in own_first(item.papers)),
            remarks=tuple(on.get(item.clearing_uid, ())),
            making=item.making,
            stuck=item.stuck,
            coming=tuple(
                ComingLine(edition_words(each.language, each.paper), each.making) for each in item.coming
            ),
            offered=_offered(item),
        )
        for item in found
    ]


def result_lines(found: Iterable[OfficialResult], project: Project, *, originals: bool) -> list[ResultLine]:
    """``originals`` says whether the reader may have papers as they came, with the place they were taken at."""
    return [
        ResultLine(
            capfirst(str(AUTHORITIES.get(item.authority, item.authority))),
            said(item.text),
            item.number,
            item.dated,
            item.file_name,
            item.sha256,
            reverse("official-result", args=[project.uid, item.uid]) if shown_as(item, originals) else "",
            given_as="" if originals else str(GIVEN_AS.get("stripped" if item.is_picture else item.how, "")),
            given_sha=item.copy.sha256 if item.copy else "",
            why_not="" if originals else str(NOT_GIVEN.get(item.how, "")),
        )
        for item in found
    ]


def shown_as(result: OfficialResult, originals: bool) -> Blob | None:
    """The file that a reader gets: strangers get a copy, which does not say where it was taken."""
    return result.blob if originals else result.copy


def file_name_of(project: Project, paper: Paper) -> str:
    """What a downloaded report is called: safe on every system, and told apart by its code."""
    words = "".join(
        letter if letter.isascii() and letter.isalnum() else " " for letter in project.name.lower()
    )
    place = "-".join(words.split())[:60]
    return "-".join(filter(None, (place, paper.gate_key, f"round-{paper.round}", paper.code))) + ".pdf"


def own_first(papers: Iterable[Paper]) -> list[Paper]:
    """The papers of one clearing, first that in the reader's language."""
    return sorted(papers, key=lambda paper: paper.language != get_language())


def _paper(
    paper: Paper,
    address: Mapping[str, tuple[str, str]],
    forms: Mapping[str, RemarkForm],
) -> PaperLine:
    href, remark_href = address[paper.code]
    edition = edition_words(paper.language, paper.paper)
    return PaperLine(paper.code, edition, paper.sha256, paper.size, href, remark_href, forms.get(paper.code))


def edition_words(language: str, paper: str) -> str:
    """In which language and on which paper a report is, the language in its own word."""
    papers = {"letter": _("Letter"), "a4": _("A4")}
    return f"{own_names().get(language, language)}, {papers.get(paper, paper)}"


def _offered(item: Round) -> tuple[tuple[str, str], ...]:
    """What can still be asked for, once the first report is there: the value that is sent, and its words."""
    have = {(paper.language, paper.paper) for paper in item.papers}
    have |= {(each.language, each.paper) for each in item.coming}
    return tuple(
        (f"{language}/{paper}", edition_words(language, paper))
        for language in REPORT_LANGUAGES
        for paper in REPORT_PAPERS
        if item.papers and (language, paper) not in have
    )
