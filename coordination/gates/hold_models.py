"""Inspections with what they did not pass, and who may attend at a witness point."""

import uuid

from django.db import models

from coordination.evidence.models import Evidence
from coordination.projects.models import Task
from coordination.record.models import Event


class Inspection(models.Model):
    """One coming of an authority: its written report is the evidence; the next coming is another row."""

    append_only = True

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    evidence = models.OneToOneField(Evidence, on_delete=models.PROTECT, related_name="+")
    round = models.PositiveIntegerField()
    again_on = models.DateField(
        null=True, blank=True, help_text="Day of the re-inspection, where it is known."
    )
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"inspection {self.round} of {self.evidence.requirement}"


class InspectionItem(models.Model):
    """One thing that an inspection did not pass, and the work that puts it right."""

    append_only = True

    inspection = models.ForeignKey(Inspection, on_delete=models.PROTECT, related_name="+")
    task = models.OneToOneField(Task, on_delete=models.PROTECT, related_name="+")
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"item {self.task}"


class WitnessPoint(models.Model):
    """A point that people of the project added at which a party may attend; those of the plan stand in its tasks."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    task = models.ForeignKey(Task, on_delete=models.PROTECT, related_name="+")
    party = models.CharField(max_length=32)
    text = models.CharField(max_length=200)
    notice_days = models.PositiveSmallIntegerField(default=2)
    ended_at = models.DateTimeField(null=True, blank=True)
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.party} at {self.task}"


class WitnessNotice(models.Model):
    """A party was told for which day. The newest per point stands; work goes on whether or not it comes."""

    append_only = True

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    task = models.ForeignKey(Task, on_delete=models.PROTECT, related_name="+")
    point = models.CharField(max_length=80, help_text="Key of the plan's point, or the uid of an own one.")
    party = models.CharField(max_length=32)
    party_name = models.CharField(max_length=120, blank=True)
    for_day = models.DateField()
    earliest = models.DateField(help_text="The first day that the notice time allowed when it was given.")
    how = models.CharField(max_length=120, help_text="Telephone, letter, portal.")
    given_by = models.CharField(max_length=60)
    given_name = models.CharField(max_length=120)
    at = models.DateTimeField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"notice to {self.party} for {self.task}"


class Attendance(models.Model):
    """Whether the party that was told came, as somebody of the project says; the newest word per notice stands."""

    append_only = True

    notice = models.ForeignKey(WitnessNotice, on_delete=models.PROTECT, related_name="+")
    attended = models.BooleanField()
    who = models.CharField(max_length=120, blank=True)
    note = models.CharField(max_length=500, blank=True)
    said_by = models.CharField(max_length=60)
    said_name = models.CharField(max_length=120)
    at = models.DateTimeField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        verbose_name_plural = "attendance"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(attended=False) | ~models.Q(who=""),
                name="who_attended_has_a_name",
                violation_error_message="Say who attended.",
            )
        ]

    def __str__(self) -> str:
        return f"{'attended' if self.attended else 'not attended'}: {self.notice}"
