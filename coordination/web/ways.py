"""Where somebody who has just come in may go."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext as _

from coordination.access.models import Project, ShareLink
from coordination.access.queries import Site, sites_of
from coordination.projects.trade_words import speaking
from coordination.web.addresses import address_of
from coordination.web.guards import opened_links, person_of
from coordination.web.words import ROLES

PAGE_OF_PURPOSE = {"company tasks": "my-tasks", "owner page": "standing", "inspection": "handover"}
PAGE_OF_ROLE = {"subcontractor": "my-tasks", "owner": "standing", "inspection": "handover"}


@dataclass(frozen=True)
class Way:
    """A project, as whom one comes there, and the page to begin with."""

    name: str
    place: str
    note: str
    href: str
    by_link: bool = False


def ways_of(request: HttpRequest, at: datetime) -> list[Way]:
    """Every way that this browser has: the account's sites, then links still open, without repeating a project."""
    person = person_of(request)
    sites = sites_of(person) if person else []
    own = [Way(site.name, site.place, _roles(site), page(site.roles[0], site.uid)) for site in sites]
    seen = {site.uid for site in sites}
    links = ShareLink.objects.filter(
        uid__in=opened_links(request), revoked_at__isnull=True, expires_at__gt=at, project__isnull=False
    )
    fresh = (
        links.exclude(project__uid__in=seen)
        .select_related("project", "company")
        .order_by("project__name", "pk")
    )
    return own + [way_of_link(link) for link in fresh]


def _roles(site: Site) -> str:
    with speaking(site.code_set):
        return ", ".join(str(ROLES[role]) for role in site.roles)


def way_of_link(link: ShareLink) -> Way:
    """The way that a link opens. Raises ValueError for one that only signs in."""
    project: Project | None = link.project
    if project is None:
        raise ValueError(f"{link} leads to no project")
    words = {
        "company tasks": _("tasks of %(company)s") % {"company": link.company.name if link.company else ""},
        "owner page": _("how far it is, for the owner"),
        "inspection": _("handover reports, for the inspector"),
    }
    href = _address(PAGE_OF_PURPOSE[link.purpose], project.uid)
    return Way(project.name, project.place, words[link.purpose], href, by_link=True)


def page(role: str, project_uid: UUID) -> str:
    """The first page of a role on a project."""
    return _address(PAGE_OF_ROLE.get(role, "project"), project_uid)


def _address(name: str, project_uid: UUID) -> str:
    return address_of(name, project_uid) or reverse("help")
