"""What was told to whom. The record is the outbox: messages are found from events."""

from django.db import models
from django.db.models import Q

from coordination.access.models import Company, Person
from coordination.record.models import Event


class Message(models.Model):
    """One mail about one event to one person, or to one company none of whose people has an account."""

    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    company = models.ForeignKey(Company, on_delete=models.PROTECT, null=True, related_name="+")
    kind = models.CharField(max_length=40)
    sent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["event", "person", "kind"], name="told_once"),
            models.UniqueConstraint(fields=["event", "company", "kind"], name="company_told_once"),
            models.CheckConstraint(
                condition=Q(person__isnull=True, company__isnull=False)
                | Q(person__isnull=False, company__isnull=True),
                name="a_message_goes_to_one",
                violation_error_message="A message goes to a person or to a company.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} to {self.person or self.company}"


class Cursor(models.Model):
    """How far a stream has been read for messages."""

    stream = models.CharField(max_length=64, unique=True)
    seq = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.stream} read to {self.seq}"
