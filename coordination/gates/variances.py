"""Whether a permission is an authority's own."""

from coordination.gates.models import Concession, Variance


def variance_of(concession: Concession) -> Variance | None:
    """The authority's document behind it; None for what the site's own people granted."""
    return getattr(concession, "variance", None)


def is_variance(concession: Concession | None) -> bool:
    return concession is not None and variance_of(concession) is not None
