"""Days that people chose. Dates and float are derived, never stored."""

import uuid

from django.db import models
from django.db.models import Q

from coordination.access.models import Project
from coordination.dates.crew_models import Crew, DelayCause, Levelling, SiteAsks, Way
from coordination.dates.visit_models import (
    Call,
    Confirmation,
    KeptForecast,
    OwnLink,
    SiteStatement,
    VisitTerms,
)
from coordination.record.models import Event

__all__ = [
    "Baseline",
    "CalendarEntry",
    "Call",
    "Confirmation",
    "Crew",
    "DelayCause",
    "KeptForecast",
    "Levelling",
    "OrderOfWork",
    "OwnLink",
    "PackageDay",
    "SiteAsks",
    "SiteStatement",
    "Visit",
    "VisitTerms",
    "Way",
]


class Baseline(models.Model):
    """The dates as they stood when a gate cleared, or when somebody asked."""

    append_only = True

    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    number = models.PositiveIntegerField()
    reason = models.CharField(max_length=120)
    taken_on = models.DateField()
    dates = models.TextField(help_text="Canonical JSON: task key to first and last worked day.")
    network = models.TextField(help_text="Canonical JSON of the network that the dates came from.")
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


class CalendarEntry(models.Model):
    """What a calendar feed told last of one piece of work or visit: its identity, revision and days.

    ``subject`` names the task or visit within the project. One row per ``audience`` (whose calendar it is), so that
    what was told is altered or cancelled under the same identity, whoever reads it by whichever address.
    """

    STATES = ("confirmed", "tentative", "cancelled")

    uid = models.UUIDField()
    audience = models.CharField(max_length=80)
    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    subject = models.CharField(max_length=140)
    sequence = models.PositiveIntegerField(default=0)
    first = models.DateField()
    last = models.DateField()
    summary = models.CharField(max_length=400)
    place = models.CharField(max_length=300, blank=True)
    text = models.TextField(blank=True)
    state = models.CharField(max_length=9, choices=[(state, state) for state in STATES])
    told_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "calendar entries"
        constraints = [
            models.UniqueConstraint(fields=["audience", "project", "subject"], name="one_entry_per_audience"),
            models.CheckConstraint(
                condition=Q(last__gte=models.F("first")), name="an_entry_does_not_end_before_it_begins"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.subject} {self.first}, {self.sequence}"


class PackageDay(models.Model):
    """The day by which the general contractor wants a package done; no day once it was taken back."""

    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    package = models.CharField(max_length=40)
    done_by = models.DateField(null=True, blank=True)
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["project", "package"], name="one_day_per_package")]

    def __str__(self) -> str:
        return f"{self.package} by {self.done_by}"


class OrderOfWork(models.Model):
    """What becomes of work begun before its turn on a project; without a row the planned order is kept."""

    ORDERS = ("retained", "override")

    project = models.OneToOneField(Project, on_delete=models.PROTECT, related_name="+")
    order = models.CharField(max_length=8, choices=[(order, order) for order in ORDERS])
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return self.order
