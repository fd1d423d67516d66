"""Papers made from cleared gates, and what inspectors remark."""

import uuid

from django.db import models

from coordination.files.models import Blob
from coordination.gates.models import Clearing
from coordination.record.models import Event


class Report(models.Model):
    """One PDF of one clearing, kept as an original. Superseded is derived: the clearing has reopened."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    clearing = models.ForeignKey(Clearing, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=24, default="gate report")
    language = models.CharField(max_length=8)
    paper = models.CharField(max_length=8)
    code = models.CharField(max_length=16, unique=True)
    blob = models.ForeignKey(Blob, on_delete=models.PROTECT, related_name="+")
    renderer = models.CharField(max_length=120)
    made_at = models.DateTimeField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["clearing", "kind", "language", "paper"], name="one_report_of_a_kind_per_clearing"
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.code}"


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
