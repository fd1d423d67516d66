"""Handoffs, clearings, signatures, concessions and variances."""

import uuid

from django.db import models
from django.db.models import Q

from coordination.evidence.models import Evidence
from coordination.files.models import Blob
from coordination.gates.hold_models import (
    Attendance,
    Inspection,
    InspectionItem,
    WitnessNotice,
    WitnessPoint,
)
from coordination.gates.mark_models import AnswerMark, AnswerMarkReason, AnswerMarkTakenBack
from coordination.gates.variance_models import VARIANCE, Variance
from coordination.projects.models import Gate, Link, Requirement, Task
from coordination.record.models import Event

__all__ = [
    "ANSWERED",
    "BY_BEGINNING",
    "FOR_THE_SILENT",
    "VARIANCE",
    "Answer",
    "AnswerMark",
    "AnswerMarkReason",
    "AnswerMarkTakenBack",
    "AnswerPhoto",
    "AnswerPhotoCopy",
    "Attendance",
    "Clearing",
    "Concession",
    "Inspection",
    "InspectionItem",
    "Offer",
    "SentFinish",
    "Signature",
    "Variance",
    "Voice",
    "WitnessNotice",
    "WitnessPoint",
]


class Offer(models.Model):
    """Finished work held out to whoever comes next. A refusal ends the round; the next offer opens another."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    task = models.ForeignKey(Task, on_delete=models.PROTECT, related_name="+")
    round = models.PositiveIntegerField()
    note = models.CharField(max_length=500, blank=True)
    offered_at = models.DateTimeField()
    answer_by = models.DateTimeField(null=True, blank=True)
    crew_waiting = models.BooleanField(default=False)
    sender = models.CharField(max_length=60)
    sender_name = models.CharField(max_length=120)
    entered_for = models.CharField(max_length=120, blank=True)
    entry_source = models.CharField(max_length=120, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["task", "round"], name="one_offer_per_round"),
            models.UniqueConstraint(
                fields=["task"], condition=Q(ended_at__isnull=True), name="one_standing_offer_per_task"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.task} offered, round {self.round}"


class SentFinish(models.Model):
    """A finish that a phone sent, under the phone's own key: the same key again finishes nothing a second time."""

    append_only = True

    sender_key = models.UUIDField(unique=True)
    task = models.ForeignKey(Task, on_delete=models.PROTECT, related_name="+")
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"finish of {self.task} as {self.sender_key}"


ANSWERED, FOR_THE_SILENT, BY_BEGINNING = "answered", "for the silent", "by beginning"


class Answer(models.Model):
    """What the receiving trade said to one offer on one handoff link.

    ``way``: it answered; or it was silent past the answer time and somebody accepted in its place (``instead_of``, with
    ``reasons``); or it began to build on it and ticked that it takes it over.
    """

    append_only = True

    offer = models.ForeignKey(Offer, on_delete=models.PROTECT, related_name="+")
    link = models.ForeignKey(Link, on_delete=models.PROTECT, related_name="+")
    outcome = models.CharField(max_length=8, choices=[("accepted", "accepted"), ("refused", "refused")])
    reasons = models.JSONField(default=list)
    answered_by = models.CharField(max_length=60)
    answered_name = models.CharField(max_length=120)
    entered_for = models.CharField(max_length=120, blank=True)
    entry_source = models.CharField(max_length=120, blank=True)
    way = models.CharField(
        max_length=16,
        default=ANSWERED,
        choices=[(way, way) for way in (ANSWERED, FOR_THE_SILENT, BY_BEGINNING)],
    )
    instead_of = models.CharField(max_length=120, blank=True, help_text="Who had not answered.")
    at = models.DateTimeField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["offer", "link"], name="one_answer_per_link_and_round"),
            models.CheckConstraint(
                condition=Q(outcome="accepted") | ~Q(reasons=[]),
                name="a_refused_handoff_has_reasons",
                violation_error_message="Say why it is refused.",
            ),
            models.CheckConstraint(
                condition=Q(way=ANSWERED) | Q(outcome="accepted"),
                name="only_the_receiver_refuses",
                violation_error_message="Only the receiver itself refuses.",
            ),
            models.CheckConstraint(
                condition=Q(way=FOR_THE_SILENT, entered_for="") & ~Q(instead_of="") & ~Q(reasons=[])
                | ~Q(way=FOR_THE_SILENT) & Q(instead_of=""),
                name="an_acceptance_for_the_silent_says_for_whom_and_why",
                violation_error_message="Say for whom it is accepted, and why.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.outcome} {self.offer}"


class AnswerPhoto(models.Model):
    """What the receiver saw when it refused: an original, as it came."""

    append_only = True

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    answer = models.ForeignKey(Answer, on_delete=models.PROTECT, related_name="+")
    blob = models.ForeignKey(Blob, on_delete=models.PROTECT, related_name="+")
    file_name = models.CharField(max_length=200, blank=True)
    image = models.JSONField(default=dict, help_text="What the picture says of itself.")
    taken_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["answer", "blob"], name="one_photo_once_per_answer")]

    def __str__(self) -> str:
        return f"photo with {self.answer}"


class AnswerPhotoCopy(models.Model):
    """A smaller picture made from such an original, without its location or device."""

    photo = models.ForeignKey(AnswerPhoto, on_delete=models.PROTECT, related_name="+")
    size = models.PositiveIntegerField(help_text="Longest side in pixels that was asked for.")
    blob = models.ForeignKey(Blob, on_delete=models.PROTECT, related_name="+")
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["photo", "size"], name="one_copy_per_photo_and_size")]

    def __str__(self) -> str:
        return f"{self.size} px of {self.photo}"


class Clearing(models.Model):
    """A cleared gate: the snapshot as it was. It reopens; it is never changed otherwise or deleted."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    gate = models.ForeignKey(Gate, on_delete=models.PROTECT, related_name="+")
    round = models.PositiveIntegerField()
    snapshot = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    digest = models.CharField(
        max_length=64, help_text="Of what the conditions read; a change of it reopens the gate."
    )
    cleared_at = models.DateTimeField()
    reopened_at = models.DateTimeField(null=True, blank=True)
    reopened_because = models.JSONField(default=list)
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["gate", "round"], name="one_clearing_per_round"),
            models.UniqueConstraint(
                fields=["gate"], condition=Q(reopened_at__isnull=True), name="one_standing_clearing_per_gate"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.gate} cleared, round {self.round}"


class Signature(models.Model):
    """A named role's word for one round of one gate."""

    append_only = True

    gate = models.ForeignKey(Gate, on_delete=models.PROTECT, related_name="+")
    round = models.PositiveIntegerField()
    role = models.CharField(max_length=32)
    signed_by = models.CharField(max_length=60)
    signed_name = models.CharField(max_length=120)
    statement = models.TextField()
    digest = models.CharField(max_length=64, help_text="Of the standing that was signed.")
    at = models.DateTimeField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["gate", "round", "role", "digest"],
                name="one_signature_per_role_round_and_standing",
            )
        ]

    def __str__(self) -> str:
        return f"{self.role} on {self.gate}"


class Concession(models.Model):
    """A reasoned permission to go on without a requirement (ISO 9000:2015, 3.12.5 and 3.12.6).

    A variance is an authority's own permission, for what nobody on the site may concede: it counts only with its
    ``Variance``, and ``needs`` names the role of whoever attached that.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    requirement = models.ForeignKey(Requirement, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(
        max_length=18,
        choices=[(kind, kind) for kind in ("concession", "deviation permit", VARIANCE)],
    )
    reason = models.CharField(max_length=1000)
    scope = models.CharField(max_length=500)
    terms_sha = models.CharField(max_length=64)
    needs = models.JSONField(help_text="Roles that must all speak.")
    expires_on = models.DateField(null=True, blank=True)
    quantity = models.CharField(
        max_length=200, blank=True, help_text="How many or how much it is limited to."
    )
    nonconformity = models.ForeignKey(
        Evidence,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="What was shown and does not conform; none before the work.",
    )
    ended_at = models.DateTimeField(null=True, blank=True)
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["requirement"],
                condition=Q(ended_at__isnull=True),
                name="one_standing_concession_per_requirement",
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} on {self.requirement}"


class Voice(models.Model):
    """One role's word for a concession: one per role, and one person never speaks for two."""

    append_only = True

    concession = models.ForeignKey(Concession, on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=32)
    spoken_by = models.CharField(max_length=60)
    spoken_name = models.CharField(max_length=120)
    at = models.DateTimeField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["concession", "role"], name="one_voice_per_role"),
            models.UniqueConstraint(fields=["concession", "spoken_by"], name="one_voice_per_person"),
        ]

    def __str__(self) -> str:
        return f"{self.role} for {self.concession}"
