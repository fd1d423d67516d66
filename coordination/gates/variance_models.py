"""What stands behind an authority's variance."""

from django.db import models
from django.db.models import Q

from coordination.files.models import Blob
from coordination.projects.models import Authority
from coordination.record.models import Event

VARIANCE = "variance"


class Variance(models.Model):
    """The authority's document behind a variance: whose, its number and date, and the scan."""

    append_only = True

    concession = models.OneToOneField("gates.Concession", on_delete=models.PROTECT, related_name="variance")
    authority = models.ForeignKey(Authority, on_delete=models.PROTECT, related_name="+")
    authority_kind = models.CharField(max_length=12)
    authority_name = models.CharField(max_length=120, blank=True, help_text="As it was named then.")
    number = models.CharField(max_length=80)
    dated = models.DateField()
    blob = models.ForeignKey(Blob, on_delete=models.PROTECT, related_name="+")
    file_name = models.CharField(max_length=200, blank=True)
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(number=""),
                name="a_variance_has_a_number",
                violation_error_message="Give the number that stands on the document.",
            )
        ]

    def __str__(self) -> str:
        return f"variance {self.number}"
