"""The append-only, hash-chained record of everything that was decided. No foreign key leaves this floor."""

from django.db import models


class Chain(models.Model):
    """The head of one stream. Its row is the lock that every decision takes first."""

    stream = models.CharField(max_length=64, unique=True)
    length = models.PositiveIntegerField(default=0)
    head = models.CharField(max_length=64, default="0" * 64)

    def __str__(self) -> str:
        return f"{self.stream} ({self.length})"


class Event(models.Model):
    """One decision. ``hash`` covers the texts exactly as stored; triggers refuse update and delete."""

    append_only = True

    stream = models.CharField(max_length=64)
    seq = models.PositiveIntegerField()
    prev = models.CharField(max_length=64)
    hash = models.CharField(max_length=64)
    at = models.CharField(max_length=32)
    claimed_at = models.CharField(max_length=32, blank=True)
    actor = models.TextField()
    verb = models.CharField(max_length=64)
    subject = models.CharField(max_length=200)
    body = models.TextField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["stream", "seq"], name="one_event_per_place_in_a_stream"),
            models.UniqueConstraint(fields=["stream", "prev"], name="one_event_after_another"),
        ]
        indexes = [models.Index(fields=["stream", "subject"], name="event_by_subject")]

    def __str__(self) -> str:
        return f"{self.stream}/{self.seq} {self.verb}"
