"""Marks over the photos of a refused handoff."""

from django.db import models
from django.db.models import F, Q

from coordination.evidence.models import FULL, MARK_KINDS, MarkOverPhoto
from coordination.record.models import Event


class AnswerMark(MarkOverPhoto):
    """A mark over a photo with which work was refused. An ``AnswerMarkTakenBack`` ends it."""

    append_only = True

    photo = models.ForeignKey("gates.AnswerPhoto", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["photo", "number"], name="one_mark_per_number_of_a_refusal"),
            models.CheckConstraint(
                condition=Q(kind__in=MARK_KINDS),
                name="a_mark_of_a_refusal_is_an_arrow_a_ring_or_a_dimension",
                violation_error_message="A mark is an arrow, a ring or a dimension.",
            ),
            models.CheckConstraint(
                condition=Q(x1__lte=FULL, y1__lte=FULL, x2__lte=FULL, y2__lte=FULL),
                name="a_mark_of_a_refusal_lies_on_the_photo",
                violation_error_message="A mark lies on the photo.",
            ),
            models.CheckConstraint(
                condition=~Q(x1=F("x2"), y1=F("y2")),
                name="a_mark_of_a_refusal_has_two_points",
                violation_error_message="A mark has two points.",
            ),
            models.CheckConstraint(
                condition=Q(kind="dimension", length__isnull=False) | (~Q(kind="dimension") & ~Q(words="")),
                name="a_mark_of_a_refusal_says_something",
                violation_error_message="A dimension states a length, any other mark says something.",
            ),
        ]

    def __str__(self) -> str:
        return f"mark {self.number} on {self.photo}"


class _WordOnMark(models.Model):
    """Somebody's one word on a mark."""

    mark = models.OneToOneField(AnswerMark, on_delete=models.PROTECT, related_name="+")
    by = models.CharField(max_length=60)
    by_name = models.CharField(max_length=120)
    at = models.DateTimeField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        abstract = True


class AnswerMarkTakenBack(_WordOnMark):
    """The end of one mark: it is drawn no more, and stays in the record."""

    append_only = True

    def __str__(self) -> str:
        return f"{self.mark} taken back"


class AnswerMarkReason(_WordOnMark):
    """A mark that the refusing side made a reason of its refusal, after the photo was attached to it."""

    append_only = True

    def __str__(self) -> str:
        return f"{self.mark} as a reason"
