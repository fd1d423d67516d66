"""What stands still in the background, for whoever looks after the installation."""

from django.db.models import QuerySet

from coordination.background.models import Lease


def given_up() -> QuerySet[Lease]:
    """Pieces of work that failed too often and wait for a person, with their last error."""
    return Lease.objects.filter(due=None).order_by("kind", "key")


def failing() -> QuerySet[Lease]:
    """Pieces of work that failed and will be tried again, next ones first."""
    return Lease.objects.filter(due__isnull=False).exclude(error="").order_by("due", "kind", "key")
