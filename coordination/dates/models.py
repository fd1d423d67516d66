"""Days that people chose. Dates and float are derived, never stored."""

import uuid

from django.db import models
from django.db.models import Q

from coordination.access.models import Project
from coordination.record.models import Event


class Baseline(models.Model):
    """The dates as they stood when a gate cleared, or when somebody asked."""

    append_only = True

    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    number = models.PositiveIntegerField()
    reason = models.CharField(max_length=120)
    taken_on = models.DateField()
    dates = models.TextField(help_text="Canonical JSON: task key to first and last worked day.")
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["project", "number"], name="one_baseline_per_number")]

    def __str__(self) -> str:
        return f"baseline {self.number}"


class Visit(models.Model):
    """A booked coming of the lift crew. One booking stands per visit; earlier ones were moved."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    key = models.CharField(max_length=40)
    day = models.DateField()
    confirm_by = models.DateField()
    wasted_trip_cents = models.PositiveIntegerField(default=0)
    moved_at = models.DateTimeField(null=True, blank=True)
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["project", "key"],
                condition=Q(moved_at__isnull=True),
                name="one_standing_booking_per_visit",
                violation_error_message="This visit is already booked.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.key} on {self.day}"
