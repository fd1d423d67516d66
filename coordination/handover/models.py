"""Papers made from cleared gates, what inspectors remark, what is said of the final list, and packed folders."""

import uuid

from django.db import models

from coordination.access.models import Project
from coordination.files.models import Blob
from coordination.gates.models import Clearing
from coordination.projects.models import Task
from coordination.record.models import Event


class Report(models.Model):
    """One PDF of one clearing, kept as an original. Superseded is derived: the clearing has reopened.

    ``site`` is the address that is printed on it. Where the company signs, ``blob`` is the signed file, and
    ``unsigned_sha256`` that of its first ``unsigned_size`` bytes: the part that can be made again.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    clearing = models.ForeignKey(Clearing, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=24, default="gate report")
    language = models.CharField(max_length=8)
    paper = models.CharField(max_length=8)
    code = models.CharField(max_length=16, unique=True)
    blob = models.ForeignKey(Blob, on_delete=models.PROTECT, related_name="+")
    renderer = models.CharField(max_length=120)
    site = models.CharField(max_length=200, blank=True)
    unsigned_sha256 = models.CharField(max_length=64, blank=True)
    unsigned_size = models.PositiveBigIntegerField(null=True, blank=True)
    made_at = models.DateTimeField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["clearing", "kind", "language", "paper"], name="one_report_of_a_kind_per_clearing"
            )
        ]
        indexes = [models.Index(fields=["unsigned_sha256"], name="report_by_its_unsigned_bytes")]

    def __str__(self) -> str:
        return f"{self.kind} {self.code}"


class ReportWish(models.Model):
    """Somebody asked for the report of a clearing in one more language or size. The reports say whether it was made."""

    append_only = True

    clearing = models.ForeignKey(Clearing, on_delete=models.PROTECT, related_name="+")
    language = models.CharField(max_length=8)
    paper = models.CharField(max_length=8)
    at = models.DateTimeField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["clearing", "language", "paper"], name="one_wish_for_a_report_per_language_and_size"
            )
        ]

    def __str__(self) -> str:
        return f"{self.clearing} in {self.language} on {self.paper}"


class Remark(models.Model):
    """What somebody wrote through the inspection link: unverified, it moves no gate."""

    append_only = True

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    clearing = models.ForeignKey(Clearing, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=120)
    body = models.CharField(max_length=2000)
    left_by = models.CharField(max_length=60)
    at = models.DateTimeField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"remark by {self.name}"


class RemarkTaken(models.Model):
    """A remark that the coordinator took up: from then on it is work of the project, judged like any other."""

    append_only = True

    remark = models.OneToOneField(Remark, on_delete=models.PROTECT, related_name="+")
    task = models.OneToOneField(Task, on_delete=models.PROTECT, related_name="+")
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.remark} taken up"


class ItemWord(models.Model):
    """What somebody says of one item of the final list. The newest of an item stands.

    ``item`` is a key of the catalogue's handover list; ``day`` the item's own day (last day of a warranty, next test).
    """

    append_only = True

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    item = models.CharField(max_length=40)
    state = models.CharField(max_length=12, choices=[("present", "present"), ("not needed", "not needed")])
    words = models.CharField(max_length=1000)
    day = models.DateField(null=True, blank=True)
    blob = models.ForeignKey(Blob, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    file_name = models.CharField(max_length=200, blank=True)
    name = models.CharField(max_length=120)
    at = models.DateTimeField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~models.Q(words=""),
                name="what_is_said_of_an_item_has_words",
                violation_error_message="Write where it is, or why it is not needed.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.item}: {self.state}"


class Pack(models.Model):
    """A folder of papers, packed in the background as one ZIP from a site frozen when somebody asked for it.

    ``kind`` is ``archive`` (originals) or ``folder`` (the final handover). ``originals`` False is the variant for
    whoever may not have originals: copies without the place they were taken at. ``missing`` names what could not be
    packed, each with its reason. ``blob`` is None until it is made, and again once a newer one has taken its place.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=8, choices=[("archive", "archive"), ("folder", "folder")])
    language = models.CharField(max_length=8)
    paper = models.CharField(max_length=8)
    originals = models.BooleanField()
    state = models.BinaryField()
    state_sha = models.CharField(max_length=64)
    asked_by = models.CharField(max_length=120)
    asked_at = models.DateTimeField()
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    made_at = models.DateTimeField(null=True, blank=True)
    blob = models.ForeignKey(Blob, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    sha256 = models.CharField(max_length=64, blank=True)
    size = models.PositiveBigIntegerField(null=True, blank=True)
    missing = models.JSONField(default=list)
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["project", "kind", "language", "paper", "originals", "state_sha"],
                name="one_pack_of_a_kind_per_standing",
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} of {self.project}"
