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


class PaperForStrangers(models.Model):
    """What of a PDF that was handed in may go to strangers, worked out of its bytes once; goes with its original.

    ``stripped``: a copy without location and device data; ``unsigned``: the same of a signed original, whose
    signature no copy can have; ``signed``: the original itself, which tells nothing; otherwise nothing, for the
    reason named.
    """

    blob = models.OneToOneField(Blob, on_delete=models.PROTECT, related_name="+")
    how = models.CharField(max_length=20)
    copy = models.ForeignKey(Blob, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(how__in=["stripped", "unsigned"], copy__isnull=False)
                | (~models.Q(how__in=["stripped", "unsigned"]) & models.Q(copy__isnull=True)),
                name="a_copy_where_it_was_stripped",
            )
        ]

    def __str__(self) -> str:
        return f"{self.blob} for strangers: {self.how}"


class Measurement(models.Model):
    """How good a stored picture looks and what it is like, worked out of its bytes once; goes with its original.

    ``supplier`` repeats the original's, so that look-alikes are looked for among one supplier's alone. ``likeness``
    are 64 bits, as a signed number because databases have no unsigned one.
    """

    blob = models.OneToOneField(Blob, on_delete=models.PROTECT, related_name="+")
    supplier = models.UUIDField()
    sharpness = models.FloatField(help_text="per mille")
    brightness = models.FloatField(help_text="0 to 255")
    short_side = models.PositiveIntegerField(help_text="pixels")
    likeness = models.BigIntegerField(null=True, help_text="64 bits; none where it shows next to nothing.")

    class Meta:
        indexes = [models.Index(fields=["supplier", "id"], name="measurements_of_a_supplier")]

    def __str__(self) -> str:
        return f"measures of {self.blob}"
