"""Marks over the photos of a refused handoff."""

from django.db import models

from coordination.evidence.models import MarkOverPhoto, WordOnMark, sane_marks


class AnswerMark(MarkOverPhoto):
    """A mark over a photo with which work was refused. An ``AnswerMarkTakenBack`` ends it."""

    append_only = True

    photo = models.ForeignKey("gates.AnswerPhoto", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["photo", "number"], name="one_mark_per_number_of_a_refusal"),
            *sane_marks("a_mark_of_a_refusal"),
        ]

    def __str__(self) -> str:
        return f"mark {self.number} on {self.photo}"


class _WordOnAnswerMark(WordOnMark):
    """Somebody's one word on a mark over such a photo."""

    mark = models.OneToOneField(AnswerMark, on_delete=models.PROTECT, related_name="+")

    class Meta:
        abstract = True


class AnswerMarkTakenBack(_WordOnAnswerMark):
    """The end of one mark: it is drawn no more, and stays in the record."""

    append_only = True

    def __str__(self) -> str:
        return f"{self.mark} taken back"


class AnswerMarkReason(_WordOnAnswerMark):
    """A mark that the refusing side made a reason of its refusal, after the photo was attached to it."""

    append_only = True

    def __str__(self) -> str:
        return f"{self.mark} as a reason"
