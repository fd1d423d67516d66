"""What was handed in for a requirement, and what the reviewer said."""

import uuid

from django.db import models
from django.db.models import F, Q

from coordination.files.models import Blob
from coordination.projects.models import Requirement, Task
from coordination.record.models import Event

PASSED, CORRECTIONS, FAILED = "passed", "passed with corrections", "failed"
RESULTS = (PASSED, CORRECTIONS, FAILED)


class Evidence(models.Model):
    """A photo, reading, document or signature under the terms its sender saw. Withdrawn, never deleted."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    requirement = models.ForeignKey(Requirement, on_delete=models.PROTECT, related_name="+")
    sender_key = models.UUIDField(
        unique=True, help_text="Made by the sender's device; the same key is the same item."
    )
    terms_sha = models.CharField(max_length=64)
    blob = models.ForeignKey(Blob, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    file_name = models.CharField(max_length=200, blank=True)
    image = models.JSONField(
        default=dict, help_text="What the picture says of itself: format, size, orientation, hints."
    )
    value = models.JSONField(null=True, blank=True)
    typed = models.CharField(max_length=200, blank=True)
    instrument = models.CharField(max_length=120, blank=True)
    number = models.CharField(max_length=80, blank=True, help_text="Number on an authority's document.")
    dated = models.DateField(null=True, blank=True, help_text="Date on a document.")
    note = models.CharField(max_length=500, blank=True)
    result = models.CharField(
        max_length=24,
        blank=True,
        choices=[(result, result) for result in RESULTS],
        help_text="What an inspection came to, as its written report says.",
    )
    in_tolerance = models.BooleanField(null=True, blank=True)
    taken_at = models.DateTimeField(null=True, blank=True)
    taken_by = models.CharField(
        max_length=120, blank=True, help_text="Who took or read it, where that is not whoever entered it."
    )
    sent_at = models.DateTimeField(null=True, blank=True)
    received_at = models.DateTimeField()
    sender = models.CharField(max_length=60, help_text="Identity of the visitor who entered it.")
    sender_name = models.CharField(max_length=120)
    entered_for = models.CharField(max_length=120, blank=True)
    entry_source = models.CharField(max_length=120, blank=True)
    replaces = models.ForeignKey(
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="The document whose place this one takes, once it counts. That one stays.",
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(blob__isnull=False) | Q(value__isnull=False),
                name="evidence_shows_something",
                violation_error_message="Hand in a file or a value.",
            ),
            models.CheckConstraint(
                condition=Q(entered_for="") | ~Q(entry_source=""),
                name="an_entry_for_another_names_its_source",
                violation_error_message="An entry for somebody else names where it came from.",
            ),
        ]

    def __str__(self) -> str:
        return f"evidence for {self.requirement}"


class Design(models.Model):
    """A calculation kept beside a task as evidence of its design, where the task asks for no paper. None is changed."""

    append_only = True

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    task = models.ForeignKey(Task, on_delete=models.PROTECT, related_name="+")
    sender_key = models.UUIDField(
        unique=True, help_text="Made with the page; the same key is the same paper."
    )
    calculation = models.CharField(max_length=40)
    given = models.TextField(help_text="The inputs, as JSON.")
    blob = models.ForeignKey(Blob, on_delete=models.PROTECT, related_name="+")
    file_name = models.CharField(max_length=200)
    source = models.CharField(max_length=120, blank=True)
    note = models.CharField(max_length=500, blank=True)
    at = models.DateTimeField()
    sender_name = models.CharField(max_length=120)
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.calculation} for {self.task}"


class Review(models.Model):
    """What the reviewer said of one piece of evidence. The newest stands."""

    append_only = True

    evidence = models.ForeignKey(Evidence, on_delete=models.PROTECT, related_name="+")
    round = models.PositiveIntegerField()
    outcome = models.CharField(max_length=8, choices=[("accepted", "accepted"), ("refused", "refused")])
    reasons = models.JSONField(default=list)
    reviewer = models.CharField(max_length=60)
    reviewer_name = models.CharField(max_length=120)
    sender = models.CharField(max_length=60, help_text="Repeated here so that the database can compare.")
    lift_critical = models.BooleanField(default=False)
    at = models.DateTimeField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["evidence", "round"], name="one_review_per_round"),
            models.CheckConstraint(
                condition=Q(lift_critical=False) | ~Q(reviewer=models.F("sender")),
                name="nobody_reviews_their_own_lift_critical_entry",
                violation_error_message="Nobody reviews their own entry of lift-critical work.",
            ),
            models.CheckConstraint(
                condition=Q(outcome="accepted") | ~Q(reasons=[]),
                name="a_refusal_has_reasons",
                violation_error_message="Say why it is refused.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.outcome} {self.evidence}"


MARK_KINDS = ("arrow", "ring", "dimension")
FULL = 10_000


def sane_marks(named: str) -> list[models.CheckConstraint]:
    """What is true of every mark; the names of constraints begin with ``named``, as a database wants each once."""
    return [
        models.CheckConstraint(
            condition=Q(kind__in=MARK_KINDS),
            name=f"{named}_is_an_arrow_a_ring_or_a_dimension",
            violation_error_message="A mark is an arrow, a ring or a dimension.",
        ),
        models.CheckConstraint(
            condition=Q(x1__lte=FULL, y1__lte=FULL, x2__lte=FULL, y2__lte=FULL),
            name=f"{named}_lies_on_the_photo",
            violation_error_message="A mark lies on the photo.",
        ),
        models.CheckConstraint(
            condition=~Q(x1=F("x2"), y1=F("y2")),
            name=f"{named}_has_two_points",
            violation_error_message="A mark has two points.",
        ),
        models.CheckConstraint(
            condition=Q(kind="dimension", length__isnull=False) | (~Q(kind="dimension") & ~Q(words="")),
            name=f"{named}_says_something",
            violation_error_message="A dimension states a length, any other mark says something.",
        ),
    ]


class MarkOverPhoto(models.Model):
    """An arrow, ring or dimension over an untouched photo. None is changed; another row ends one.

    Its two points are ten-thousandths of the upright picture's width and height, from the upper left corner: an arrow
    runs from the first to the second, a ring fills the box between them, a dimension lies between them.
    """

    append_only = True

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    sender_key = models.UUIDField(unique=True, help_text="Made with the page; the same key is the same mark.")
    number = models.PositiveSmallIntegerField(help_text="Within its photo; never given twice.")
    kind = models.CharField(max_length=9, choices=[(kind, kind) for kind in MARK_KINDS])
    x1 = models.PositiveSmallIntegerField()
    y1 = models.PositiveSmallIntegerField()
    x2 = models.PositiveSmallIntegerField()
    y2 = models.PositiveSmallIntegerField()
    words = models.CharField(max_length=200, blank=True)
    typed = models.CharField(max_length=80, blank=True, help_text="The length of a dimension, as typed.")
    length = models.BigIntegerField(null=True, blank=True, help_text="Of a dimension, in nanometres.")
    by = models.CharField(max_length=60, help_text="Identity of the visitor who put it.")
    by_name = models.CharField(max_length=120)
    at = models.DateTimeField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        abstract = True

    @property
    def points(self) -> tuple[tuple[int, int], tuple[int, int]]:
        return (self.x1, self.y1), (self.x2, self.y2)


class Mark(MarkOverPhoto):
    """A mark over a photo that was handed in. A ``MarkTakenBack`` ends it."""

    append_only = True

    evidence = models.ForeignKey(Evidence, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["evidence", "number"], name="one_mark_per_number"),
            *sane_marks("a_mark"),
        ]

    def __str__(self) -> str:
        return f"mark {self.number} on {self.evidence}"


class WordOnMark(models.Model):
    """Who said something of a mark, and when."""

    by = models.CharField(max_length=60)
    by_name = models.CharField(max_length=120)
    at = models.DateTimeField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        abstract = True


class MarkTakenBack(WordOnMark):
    """The end of one mark: it is drawn no more, and stays in the record."""

    append_only = True

    mark = models.OneToOneField(Mark, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.mark} taken back"


class MarkReason(models.Model):
    """A mark that is a reason of a refusal. Its sentence stands among the review's reasons."""

    append_only = True

    review = models.ForeignKey(Review, on_delete=models.PROTECT, related_name="+")
    mark = models.ForeignKey(Mark, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["review", "mark"], name="one_reason_per_mark")]

    def __str__(self) -> str:
        return f"{self.mark} in {self.review}"


class MarkNamed(models.Model):
    """A mark that is a reason of a refused handoff, and the event of that refusal."""

    append_only = True

    mark = models.ForeignKey(Mark, on_delete=models.PROTECT, related_name="+")
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["mark", "event"], name="one_reason_per_mark_and_event")
        ]

    def __str__(self) -> str:
        return f"{self.mark} in {self.event}"


class Rendition(models.Model):
    """A smaller picture made from an original, without its location or device."""

    evidence = models.ForeignKey(Evidence, on_delete=models.PROTECT, related_name="+")
    size = models.PositiveIntegerField(help_text="Longest side in pixels that was asked for.")
    blob = models.ForeignKey(Blob, on_delete=models.PROTECT, related_name="+")
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["evidence", "size"], name="one_rendition_per_size")]

    def __str__(self) -> str:
        return f"{self.size} px of {self.evidence}"
