"""What is known of a stored original. The bytes lie on disk, see ``keeping``."""

from django.db import models
from django.db.models.functions import Length, Now
from django.db.models.lookups import Exact


class Blob(models.Model):
    """An original, once per supplier however often it was handed in.

    The supplier is a value, not a key: suppliers never share a row, so nobody can learn from an upload that
    another supplier already holds the same bytes.
    """

    supplier = models.UUIDField()
    sha256 = models.CharField(max_length=64)
    size = models.PositiveBigIntegerField(help_text="bytes")
    media_type = models.CharField(max_length=100)
    created = models.DateTimeField(db_default=Now())

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["supplier", "sha256"], name="blob_once_per_supplier"),
            models.CheckConstraint(condition=Exact(Length("sha256"), 64), name="blob_sha256_is_64_digits"),
        ]

    def __str__(self) -> str:
        return f"{self.sha256[:12]} ({self.media_type}, {self.size} bytes)"
