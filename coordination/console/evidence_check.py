"""Every stored original and copy read back; what can be made again from a whole original is made again."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from coordination.evidence.models import Evidence, Rendition
from coordination.evidence.renditions import made_again, pictures_without_copy, without_renditions
from coordination.files.for_strangers import copied_again
from coordination.files.images import ImageRefused
from coordination.files.keeping import NotKept, OriginalLost, verify
from coordination.files.models import Blob, PaperForStrangers
from coordination.gates.models import AnswerPhoto, AnswerPhotoCopy, Variance
from coordination.gates.refusal_photos import make_copies, without_copies
from coordination.handover.papers_for_strangers import look_at_paper, papers_not_looked_at


@dataclass
class Answer:
    """What was read, what was made again, and what is wrong in words."""

    whole: int = 0
    made: int = 0
    faults: list[str] = field(default_factory=list)


def check_evidence() -> Answer:
    """Read back everything. A lost copy comes back only as the same bytes; a lost original stays a fault."""
    answer = Answer()
    copies = _copies()
    for blob in Blob.objects.order_by("pk").iterator():
        try:
            verify(blob)
            answer.whole += 1
        except OriginalLost as lost:
            copy = copies.get(blob.pk)
            if _is_made_again(copy, blob):
                answer.made += 1
            else:
                answer.faults.append(_fault(lost))
    _make_missing(answer)
    return answer


def _is_made_again(copy: Rendition | AnswerPhotoCopy | None, blob: Blob) -> bool:
    if copy is not None:
        return not made_again(_original_of(copy), copy.blob, copy.size)
    try:
        return copied_again(blob)
    except (OriginalLost, NotKept):
        return False


def _copies() -> dict[int, Rendition | AnswerPhotoCopy]:
    """Every copy of a photo by the file it lies in: of evidence, and of what refusals showed."""
    of_evidence = Rendition.objects.select_related("evidence__blob", "blob")
    of_refusals = AnswerPhotoCopy.objects.select_related("photo__blob", "blob")
    return {row.blob_id: row for row in (*of_refusals, *of_evidence)}


def _original_of(copy: Rendition | AnswerPhotoCopy) -> Blob | None:
    return copy.photo.blob if isinstance(copy, AnswerPhotoCopy) else copy.evidence.blob


def _make_missing(answer: Answer) -> None:
    keys = [int(key) for key in without_renditions()]
    rows = list(Evidence.objects.filter(pk__in=keys).select_related("blob", "requirement__task"))
    failed = pictures_without_copy(rows)
    answer.made += len(rows) - len(failed)
    answer.faults += [
        _("%(what)s: no copy could be made (%(why)s)") % {"what": row.requirement, "why": failed[row.pk]}
        for row in rows
        if row.pk in failed
    ]
    for key in without_copies():
        try:
            make_copies(key)
            answer.made += 1
        except (ImageRefused, OriginalLost) as why:
            photo = AnswerPhoto.objects.select_related("answer__offer__task").get(pk=int(key))
            told = {"what": photo.answer.offer.task, "why": getattr(why, "reason", None) or why.how}
            answer.faults.append(_("%(what)s: no copy could be made (%(why)s)") % told)
    _look_at_papers(answer)


def _look_at_papers(answer: Answer) -> None:
    """Copies of PDFs for strangers. One that can have none is no fault: why is written down, and said on the pages."""
    for key in papers_not_looked_at():
        try:
            answer.made += look_at_paper(key).is_copy
        except OriginalLost:
            continue  # a fault already: every original was read
        except NotKept as why:
            told = {"what": Blob.objects.get(pk=int(key)), "why": why}
            answer.faults.append(_("%(what)s: no copy could be made (%(why)s)") % told)


def _fault(lost: OriginalLost) -> str:
    how = {"missing": _("is missing"), "altered": _("was altered")}[lost.how]
    for_what = ", ".join(sorted({str(each) for each in _shown_by(lost.blob)}))
    return f"{lost.blob.sha256} {how}{f': {for_what}' if for_what else ''}"


def _shown_by(blob: Blob) -> Iterator[object]:
    rows = Evidence.objects.select_related("requirement__task")
    yield from (row.requirement for row in rows.filter(blob=blob))
    scans = Variance.objects.select_related("concession__requirement__task")
    yield from (row.concession.requirement for row in scans.filter(blob=blob))
    copies = Rendition.objects.select_related("evidence__requirement__task")
    yield from (row.evidence.requirement for row in copies.filter(blob=blob))
    documents = PaperForStrangers.objects.filter(copy=blob).values("blob")
    yield from (row.requirement for row in rows.filter(blob__in=documents))
    yield from (row.concession.requirement for row in scans.filter(blob__in=documents))
    refused = AnswerPhoto.objects.select_related("answer__offer__task")
    yield from (row.answer.offer.task for row in refused.filter(blob=blob))
    smaller = AnswerPhotoCopy.objects.select_related("photo__answer__offer__task")
    yield from (row.photo.answer.offer.task for row in smaller.filter(blob=blob))
