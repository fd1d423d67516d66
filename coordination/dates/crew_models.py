"""Crews that go from site to site, what each site asks of them, and what was worked out of it."""

import uuid

from django.db import models
from django.db.models import F, Q

from coordination.access.models import Company, Project, Supplier
from coordination.record.models import Event

HEAVIEST = 9


class Crew(models.Model):
    """One crew of a company that works on several sites."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="+")
    company = models.ForeignKey(Company, on_delete=models.PROTECT, related_name="+")
    trade = models.CharField(max_length=32)
    name = models.CharField(max_length=60)
    people = models.PositiveSmallIntegerField(default=2)
    home = models.CharField(max_length=120, blank=True)
    latitude = models.FloatField(null=True, blank=True)
    longitude = models.FloatField(null=True, blank=True)
    weekdays = models.JSONField(default=list, help_text="0 is Monday.")
    away = models.JSONField(default=list, help_text="ISO dates on which it is on no site.")
    ended_at = models.DateTimeField(null=True, blank=True)
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["company", "name"],
                condition=Q(ended_at__isnull=True),
                name="one_crew_of_a_name_per_company",
                violation_error_message="This company has a crew of that name already.",
            )
        ]

    def __str__(self) -> str:
        return self.name


class SiteAsks(models.Model):
    """What one site asks of the crews: how much a day late weighs, the day it is wanted, where it is."""

    project = models.OneToOneField(Project, on_delete=models.PROTECT, related_name="+")
    weight = models.PositiveSmallIntegerField(default=1)
    wanted_by = models.DateField(null=True, blank=True)
    wish = models.DateField(
        null=True, blank=True, help_text="The day on which the site would have the crew come next."
    )
    latitude = models.FloatField(null=True, blank=True)
    longitude = models.FloatField(null=True, blank=True)
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        verbose_name_plural = "site asks"
        constraints = [
            models.CheckConstraint(
                condition=Q(weight__gte=1, weight__lte=HEAVIEST),
                name="a_site_weighs_one_to_nine",
                violation_error_message="The weight of a day late is 1 to 9.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.project}: weight {self.weight}"


class Way(models.Model):
    """Days on the road between two sites, entered; it counts before what the distance says."""

    one = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    other = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    days = models.PositiveSmallIntegerField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["one", "other"], name="one_way_between_two_sites"),
            models.CheckConstraint(condition=Q(one__lt=F("other")), name="a_way_leads_from_the_older_site"),
        ]

    def __str__(self) -> str:
        return f"{self.one} - {self.other}: {self.days}"


class Levelling(models.Model):
    """One search for who goes where when: its frozen input, and the best answer that passed the checker.

    ``input`` and ``answer`` are canonical JSON. Seed and iterations make the answer again.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    asked_by = models.CharField(max_length=120)
    input = models.TextField()
    input_sha = models.CharField(max_length=64)
    seed = models.PositiveIntegerField(default=1)
    seconds = models.PositiveSmallIntegerField()
    iterations = models.PositiveIntegerField(default=0)
    answer = models.TextField(blank=True)
    stop_asked_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["supplier"], condition=Q(ended_at__isnull=True), name="one_levelling_at_a_time"
            )
        ]

    def __str__(self) -> str:
        return f"levelling of {self.supplier}"


class DelayCause(models.Model):
    """Working days that a task lost to something the record does not show by itself, entered by somebody on site."""

    KINDS = ("weather", "site closed", "late delivery", "other work", "other")

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    task = models.CharField(max_length=120)
    kind = models.CharField(max_length=16, choices=[(kind, kind) for kind in KINDS])
    first = models.DateField()
    days = models.PositiveSmallIntegerField()
    words = models.CharField(max_length=300)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(days__gte=1), name="a_cause_costs_a_day_or_more"),
        ]

    def __str__(self) -> str:
        return f"{self.kind}: {self.days} on {self.task}"
