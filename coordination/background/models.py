"""Who is at which piece of work, until when, and how it went before."""

from django.db import models
from django.db.models import Q


class Lease(models.Model):
    """One piece of work that somebody is at, or that failed before.

    ``until`` is set while it is held; ``due`` is when it may be tried (again), None when it was given up. ``attempts``
    also fences: whoever writes here says which attempt he is, so a worker that lost its lease changes nothing.
    """

    kind = models.CharField(max_length=60)
    key = models.CharField(max_length=200)
    until = models.DateTimeField(null=True)
    attempts = models.PositiveIntegerField(default=0)
    due = models.DateTimeField(null=True)
    error = models.TextField(blank=True, default="")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["kind", "key"], name="lease_once_per_piece_of_work"),
            models.CheckConstraint(
                condition=Q(due__isnull=False) | ~Q(error=""), name="lease_given_up_says_why"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.key}, attempt {self.attempts}"
