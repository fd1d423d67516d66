"""Rule 4: originals are never altered, and what strangers see says nothing of where it was taken."""

from collections.abc import Iterator

from coordination.evidence.models import Rendition
from coordination.files.images import ImageRefused, inspect_image
from coordination.files.keeping import OriginalLost, path_of, verify
from coordination.files.models import PaperForStrangers
from coordination.files.pdf_apart import SIGNED
from coordination.files.pdf_copies import tells
from coordination.gates.models import AnswerPhoto, AnswerPhotoCopy, Variance
from coordination.gates.rules.case import Breach, Case


def originals_are_whole(case: Case) -> Iterator[Breach]:
    """Every original is read back; every copy is looked at."""
    for row in case.evidence:
        if row.blob is None:
            continue
        try:
            verify(row.blob)
        except OriginalLost as lost:
            yield Breach(4, f"an original is {lost.how}", str(row.requirement), row.blob.sha256)
    of_refusals = AnswerPhoto.objects.filter(answer__offer__task__project=case.project)
    for photo in of_refusals.select_related("blob", "answer__offer__task"):
        try:
            verify(photo.blob)
        except OriginalLost as lost:
            yield Breach(4, f"an original is {lost.how}", photo.answer.offer.task.key, photo.blob.sha256)
    scans = Variance.objects.filter(concession__requirement__task__project=case.project)
    scans = scans.select_related("blob", "concession__requirement__task")
    for scan in scans:
        try:
            verify(scan.blob)
        except OriginalLost as lost:
            yield Breach(4, f"an original is {lost.how}", str(scan.concession.requirement), scan.blob.sha256)
    copies = Rendition.objects.filter(evidence__requirement__task__project=case.project)
    for copy in copies.select_related("blob", "evidence__requirement__task"):
        yield from _of_copy(copy, str(copy.evidence.requirement))
    others = AnswerPhotoCopy.objects.filter(photo__answer__offer__task__project=case.project)
    for other in others.select_related("blob", "photo__answer__offer__task"):
        yield from _of_copy(other, other.photo.answer.offer.task.key)
    papers = {row.blob_id: str(row.requirement) for row in case.evidence if row.blob_id}
    papers |= {scan.blob_id: str(scan.concession.requirement) for scan in scans}
    for paper in PaperForStrangers.objects.filter(blob__in=papers).select_related("blob", "copy"):
        yield from _of_paper(paper, papers[paper.blob_id])


def _of_paper(paper: PaperForStrangers, subject: str) -> Iterator[Breach]:
    """What strangers get: its copy, or where it is signed the document itself."""
    given = paper.blob if paper.how == SIGNED else paper.copy
    if given is None:
        return
    try:
        verify(given)
        if tells(path_of(given).read_bytes()):
            yield Breach(4, "a document says where it was made", subject, given.sha256)
    except OriginalLost as lost:
        if paper.copy:
            yield Breach(4, f"a document's copy is {lost.how}", subject, given.sha256)


def _of_copy(copy: Rendition | AnswerPhotoCopy, subject: str) -> Iterator[Breach]:
    try:
        verify(copy.blob)
        if inspect_image(path_of(copy.blob)).has_gps:
            yield Breach(4, "a copy says where it was taken", subject, copy.blob.sha256)
    except OriginalLost as lost:
        yield Breach(4, f"a copy is {lost.how}", subject, copy.blob.sha256)
    except ImageRefused as refused:
        yield Breach(4, "a copy is no picture", subject, refused.reason)
