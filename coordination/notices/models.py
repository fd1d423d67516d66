"""What was told to whom. The record is the outbox: messages are found from events."""

from django.db import models

from coordination.access.models import Person
from coordination.record.models import Event


class Message(models.Model):
    """One mail about one event to one person."""

    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=40)
    sent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["event", "person", "kind"], name="told_once")]

    def __str__(self) -> str:
        return f"{self.kind} to {self.person}"


class Cursor(models.Model):
    """How far a stream has been read for messages."""

    stream = models.CharField(max_length=64, unique=True)
    seq = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.stream} read to {self.seq}"
