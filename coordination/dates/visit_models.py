"""What people agreed and said about visits, the links they want beside the plan's, and the forecast as last made."""

import uuid

from django.db import models
from django.db.models import F, Q

from coordination.access.models import Project
from coordination.record.models import Event

KINDS = ("FS", "SS", "FF", "SF")
UNITS = ("working", "calendar")
OUTCOMES = ("reached", "texted", "no answer")


class OwnLink(models.Model):
    """An order of two tasks that people want beside the plan's links. It moves dates and holds no work back."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    before = models.CharField(max_length=120)
    after = models.CharField(max_length=120)
    kind = models.CharField(max_length=2, choices=[(kind, kind) for kind in KINDS])
    lag = models.SmallIntegerField(default=0)
    unit = models.CharField(max_length=8, default="working", choices=[(unit, unit) for unit in UNITS])
    ended_at = models.DateTimeField(null=True, blank=True)
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["project", "before", "after", "kind"],
                condition=Q(ended_at__isnull=True),
                name="one_standing_own_link_of_a_kind",
            ),
            models.CheckConstraint(
                condition=~Q(before=F("after")),
                name="no_own_link_to_itself",
                violation_error_message="A task cannot wait for itself.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.before} {self.kind} {self.after}"


class VisitTerms(models.Model):
    """On what a visit is booked: days of notice in working days of the crew, money in cents.

    The newest of a site and visit counts there; where a site has none, the newest of its supplier that was
    entered for all sites.
    """

    append_only = True

    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    visit = models.CharField(max_length=40)
    for_all_sites = models.BooleanField(default=False)
    lead_days = models.PositiveSmallIntegerField()
    free_cancellation_days = models.PositiveSmallIntegerField()
    confirm_days = models.PositiveSmallIntegerField()
    wasted_trip_cents = models.PositiveIntegerField()
    waiting_day_cents = models.PositiveIntegerField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        verbose_name_plural = "visit terms"

    def __str__(self) -> str:
        return f"terms of {self.visit}"


class Confirmation(models.Model):
    """A booked visit for which the crew was told to come. One per booking."""

    append_only = True

    visit = models.OneToOneField("dates.Visit", on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=120)
    at = models.DateTimeField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.visit} confirmed"


class SiteStatement(models.Model):
    """A signed site-ready statement for one booking. It counts while everything that it read is as it was."""

    append_only = True

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    visit = models.ForeignKey("dates.Visit", on_delete=models.PROTECT, related_name="+")
    charge_cents = models.PositiveIntegerField(help_text="Named for a wasted trip.")
    digest = models.CharField(max_length=64, help_text="Of the proof as it was read.")
    read = models.TextField(help_text="Canonical JSON of the proof.")
    words = models.TextField(help_text="The sentence that was signed.")
    signed_by = models.CharField(max_length=60)
    signed_name = models.CharField(max_length=120)
    company = models.CharField(max_length=120, blank=True)
    at = models.DateTimeField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"site-ready statement for {self.visit}"


class Call(models.Model):
    """A call that was made about what blocks a visit, or about news that no mail could bring.

    ``uid`` comes from the page, so that a press counts once.
    """

    append_only = True

    uid = models.UUIDField(unique=True)
    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    visit = models.CharField(max_length=40)
    owner = models.CharField(max_length=160)
    phone = models.CharField(max_length=40)
    outcome = models.CharField(max_length=9, choices=[(outcome, outcome) for outcome in OUTCOMES])
    name = models.CharField(max_length=120, help_text="Who called.")
    at = models.DateTimeField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"call to {self.owner}"


class KeptForecast(models.Model):
    """The forecast of a site as it was made last, under the digest of everything it was made from."""

    project = models.OneToOneField(Project, on_delete=models.PROTECT, related_name="+")
    digest = models.CharField(max_length=64)
    content = models.TextField()

    def __str__(self) -> str:
        return f"forecast of {self.project}"
