"""A site as somebody names it at the command line: by its name or its uid; where there is none, those there are."""

from collections.abc import Iterable

from django.utils.translation import gettext as _

from coordination.access.models import Project
from coordination.console.refused import Refused


def site_called(text: str) -> Project:
    """The site of this name (letters large or small) or uid. Raises Refused with the sites there are."""
    return _only(text, _called(text, Project.objects.select_related("supplier").order_by("name", "pk")))


def sites_called(texts: Iterable[str]) -> list[Project]:
    """Several in the order in which they were opened. Raises Refused as ``site_called`` does."""
    return sorted({site_called(text) for text in texts}, key=lambda site: site.pk)


def none_called(text: str) -> Refused:
    """The refusal of a name that no site has."""
    rows = list(Project.objects.order_by("name", "pk"))
    there = (
        [_("There are:"), *(f"  {_line(row)}" for row in rows)] if rows else [_("No site was opened yet.")]
    )
    return Refused(text, [_("No site is called that."), *there])


def _called(text: str, rows: Iterable[Project]) -> list[Project]:
    wanted = text.strip().casefold()
    return [row for row in rows if wanted in (str(row.uid), row.name.casefold())]


def _only(text: str, rows: list[Project]) -> Project:
    if not rows:
        raise none_called(text)
    if len(rows) > 1:
        listed = (f"  {_line(row)} ({row.supplier.name})" for row in rows)
        raise Refused(text, [_("Several sites are called that; name one by its uid:"), *listed])
    return rows[0]


def _line(site: Project) -> str:
    return f"{site.uid}  {site.name}"
