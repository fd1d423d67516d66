"""Facts, plans and what they make: tasks, links, requirements, gates, questions.

Keys are given once and never renumbered.
"""

import uuid

from django.db import models
from django.db.models import F, Q

from coordination.access.models import Project
from coordination.record.models import Event

FACT_STATES = ("known", "assumed", "unknown")
LINK_KINDS = ("FS", "SS", "FF", "SF", "covers")


class FactEntry(models.Model):
    """One statement about the building or the lift. The newest per key stands; none is ever changed."""

    append_only = True

    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    key = models.CharField(max_length=80)
    seq = models.PositiveIntegerField()
    state = models.CharField(max_length=8, choices=[(state, state) for state in FACT_STATES])
    value = models.JSONField(null=True, blank=True)
    typed = models.CharField(max_length=200, blank=True)
    said_by = models.CharField(max_length=120)
    source = models.CharField(max_length=200, blank=True)
    said_on = models.DateField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["project", "key", "seq"], name="one_entry_per_turn"),
            models.CheckConstraint(
                condition=Q(state="unknown", value__isnull=True)
                | (~Q(state="unknown") & Q(value__isnull=False)),
                name="unknown_means_no_value",
                violation_error_message="An unknown fact has no value; a known or assumed one needs one.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.key} {self.state}"


class RuleSheet(models.Model):
    """Rules of the place or of a company that this project's plan is derived with, as they were sent.

    The newest per name stands; none is ever changed, and a withdrawn one keeps its earlier turns.
    """

    append_only = True

    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    name = models.SlugField(max_length=60)
    seq = models.PositiveIntegerField()
    state = models.CharField(
        max_length=10, choices=[("in force", "in force"), ("withdrawn", "withdrawn")], default="in force"
    )
    text = models.TextField(blank=True)
    sha256 = models.CharField(max_length=64, blank=True)
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["project", "name", "seq"], name="one_rule_sheet_per_turn"),
            models.CheckConstraint(
                condition=Q(state="withdrawn", text="") | (Q(state="in force") & ~Q(text="")),
                name="rules_in_force_have_a_text",
                violation_error_message="Rules in force need their text; withdrawn ones have none.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.state}"


class PlanRevision(models.Model):
    """One accepted derivation of the plan, kept as it came from siteprep."""

    append_only = True

    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    number = models.PositiveIntegerField()
    facts_length = models.PositiveIntegerField(
        help_text="Length of the chain whose facts it was derived from."
    )
    catalogue_sha = models.CharField(max_length=64)
    derived = models.TextField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["project", "number"], name="one_plan_revision_per_number")
        ]

    def __str__(self) -> str:
        return f"plan {self.number}"


class PlanChange(models.Model):
    """A newer derivation laid beside the standing plan, until a person accepts it or newer facts replace it."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    base = models.ForeignKey(PlanRevision, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    derived = models.TextField()
    summary = models.JSONField()
    state = models.CharField(
        max_length=10,
        default="open",
        choices=[("open", "open"), ("accepted", "accepted"), ("replaced", "replaced")],
    )
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["project"], condition=Q(state="open"), name="one_open_change_per_project"
            )
        ]

    def __str__(self) -> str:
        return f"change of {self.base}"


class Task(models.Model):
    """One trade's piece of work at one place. ``derived`` is siteprep's; people's own values stand beside it."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    key = models.CharField(max_length=120)
    entry = models.CharField(max_length=80)
    place = models.CharField(max_length=40)
    package = models.CharField(max_length=40)
    trade = models.CharField(max_length=32)
    derived = models.JSONField()
    own_duration = models.PositiveSmallIntegerField(null=True, blank=True)
    not_before = models.DateField(null=True, blank=True)
    done_by = models.DateField(null=True, blank=True)
    provisional = models.BooleanField(default=False)
    is_gate = models.BooleanField(default=False)
    origin = models.PositiveIntegerField(help_text="Number of the plan revision that brought it.")
    retired_in = models.PositiveIntegerField(null=True, blank=True)
    begun_on = models.DateField(null=True, blank=True)
    remaining = models.PositiveSmallIntegerField(null=True, blank=True)
    finished_on = models.DateField(null=True, blank=True)
    place_order = models.PositiveSmallIntegerField(default=0)
    own = models.BooleanField(
        default=False, help_text="People of the project added it: no change of plan touches it."
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["project", "key"], name="one_task_per_key"),
            models.CheckConstraint(
                condition=Q(finished_on__isnull=True) | Q(begun_on__isnull=False),
                name="finished_work_was_begun",
                violation_error_message="Work that is finished must have begun.",
            ),
            models.CheckConstraint(
                condition=Q(finished_on__isnull=True) | Q(finished_on__gte=F("begun_on")),
                name="finish_is_not_before_begin",
                violation_error_message="Work cannot finish before it began.",
            ),
        ]

    def __str__(self) -> str:
        return self.key


class Link(models.Model):
    """A predecessor relation; ``covers`` hides the earlier work and waits until that is accepted."""

    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    before = models.ForeignKey(Task, on_delete=models.PROTECT, related_name="+")
    after = models.ForeignKey(Task, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=6, choices=[(kind, kind) for kind in LINK_KINDS])
    lag = models.SmallIntegerField(default=0)
    unit = models.CharField(
        max_length=8, default="working", choices=[("working", "working"), ("calendar", "calendar")]
    )
    handoff = models.BooleanField(default=False)
    receiver_note = models.JSONField(default=dict)
    origin = models.PositiveIntegerField()
    retired_in = models.PositiveIntegerField(null=True, blank=True)
    own = models.BooleanField(default=False, help_text="It belongs to what people of the project added.")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["before", "after", "kind"], name="one_link_of_a_kind"),
            models.CheckConstraint(
                condition=~Q(before=F("after")),
                name="no_task_waits_for_itself",
                violation_error_message="A task cannot wait for itself.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.before} {self.kind} {self.after}"


class Requirement(models.Model):
    """What a task must show. ``terms`` are siteprep's; evidence counts only for the terms it was given under."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    task = models.ForeignKey(Task, on_delete=models.PROTECT, related_name="+")
    key = models.CharField(max_length=80)
    kind = models.CharField(max_length=10)
    terms = models.JSONField()
    terms_sha = models.CharField(max_length=64)
    accepts = models.CharField(max_length=32, blank=True)
    deputy = models.CharField(max_length=32, blank=True)
    concede = models.JSONField(default=list)
    release = models.CharField(max_length=16, blank=True)
    lift_critical = models.BooleanField(default=False)
    order = models.PositiveSmallIntegerField(default=0)
    retired_in = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["task", "key"], name="one_requirement_per_key"),
            models.CheckConstraint(
                condition=Q(release="") | Q(concede=[]),
                name="what_an_authority_releases_nobody_concedes",
                violation_error_message="What an authority releases cannot be conceded.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.task}#{self.key}"


class Gate(models.Model):
    """A hold point: a zero-day milestone with conditions. Nothing behind it starts until it is cleared."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    task = models.OneToOneField(Task, on_delete=models.PROTECT, related_name="+")
    key = models.CharField(max_length=40)
    derived = models.JSONField()
    signers = models.JSONField(default=list)
    clears = models.CharField(max_length=32)
    order = models.PositiveSmallIntegerField(default=0)

    def __str__(self) -> str:
        return self.key


class Condition(models.Model):
    """One thing that a gate waits for."""

    KINDS = (
        "task accepted",
        "requirement satisfied",
        "question answered",
        "document present",
        "gate cleared",
        "signature",
    )

    gate = models.ForeignKey(Gate, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=24, choices=[(kind, kind) for kind in KINDS])
    subject = models.CharField(max_length=200)
    retired_in = models.PositiveIntegerField(null=True, blank=True)
    own = models.BooleanField(default=False, help_text="People of the project added it.")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["gate", "kind", "subject"], name="one_condition_of_a_kind")
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.subject}"


class Question(models.Model):
    """An unknown fact that work depends on. It is answered by entering the fact."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    fact = models.CharField(max_length=80)
    derived = models.JSONField()
    decides = models.CharField(max_length=40)
    retired_in = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["project", "fact"], name="one_question_per_fact")]

    def __str__(self) -> str:
        return self.fact


class Calendar(models.Model):
    """What people set for one kind of work beside the calendar that the facts give: weekdays and exceptions."""

    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    key = models.CharField(max_length=40)
    weekdays = models.JSONField(
        null=True, blank=True, help_text="0 is Monday; null is as the site facts say."
    )
    closed = models.JSONField(default=list, help_text="ISO dates without work.")
    opened = models.JSONField(default=list, help_text="ISO dates with work that the weekdays would exclude.")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["project", "key"], name="one_calendar_per_key")]

    def __str__(self) -> str:
        return self.key


class Authority(models.Model):
    """Who must inspect: permit number, inspections in order, notice time.

    Name, permit and notice follow the site facts of the same name; the rest stands only here.
    """

    KINDS = ("elevator", "building", "electrical", "fire", "plumbing")

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=12, choices=[(kind, kind) for kind in KINDS])
    name = models.CharField(max_length=120, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    permit = models.CharField(max_length=60, blank=True)
    permit_on = models.DateField(null=True, blank=True)
    inspections = models.JSONField(default=list)
    notice_days = models.PositiveSmallIntegerField(default=2)

    class Meta:
        verbose_name_plural = "authorities"
        constraints = [models.UniqueConstraint(fields=["project", "kind"], name="one_authority_of_a_kind")]

    def __str__(self) -> str:
        return f"{self.kind} authority"


class SitePosition(models.Model):
    """Where the site is, said on purpose, so that senders of photos may have theirs compared. The newest stands.

    Without figures nothing is compared any more.
    """

    append_only = True

    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    latitude = models.FloatField(null=True, blank=True, help_text="degrees, north positive")
    longitude = models.FloatField(null=True, blank=True, help_text="degrees, east positive")
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(latitude__isnull=True, longitude__isnull=True)
                | Q(latitude__range=(-90, 90), longitude__range=(-180, 180)),
                name="a_site_position_is_on_earth",
                violation_error_message="Latitude is -90 to 90, longitude -180 to 180 degrees.",
            )
        ]

    def __str__(self) -> str:
        return f"position of {self.project}"
