"""Whether a permission is an authority's own, and its document as the record and papers say it."""

from typing import Any

from coordination.gates.models import Concession, Variance


def variance_of(concession: Concession) -> Variance | None:
    """The authority's document behind it; None for what the site's own people granted."""
    return getattr(concession, "variance", None)


def document_of(paper: Variance) -> dict[str, Any]:
    """Whose it is, number, date (ISO), and the scan."""
    return {
        "authority": {"kind": paper.authority_kind, "name": paper.authority_name},
        "number": paper.number,
        "dated": paper.dated.isoformat(),
        "sha256": paper.blob.sha256,
        "size": paper.blob.size,
        "file_name": paper.file_name,
    }


def is_variance(concession: Concession | None) -> bool:
    return concession is not None and variance_of(concession) is not None
