"""What the private address of a calendar shows: whose dates, on which projects. Asked anew at each reading."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from coordination.access.models import Assignment, Company, Membership, Person, Project, ShareLink


@dataclass(frozen=True)
class CalendarScope:
    """The projects with the trades whose dates are shown there; ``visits`` are those of the lift crew.

    ``audience`` is the same for every address that shows the same somebody's dates, so that what was told there
    before is found again when an address is taken back and another one given.
    """

    link: ShareLink
    audience: str
    projects: tuple[Project, ...]
    trades: frozenset[tuple[int, str]]
    visits: bool
    language: str


@dataclass(frozen=True)
class OwnCalendar:
    """One of a person's own calendars; ``company`` is empty for the visits, ``project`` where it is over all."""

    link: ShareLink
    company: str
    project: str

    @property
    def ended(self) -> bool:
        return self.link.revoked_at is not None


def scope_of_calendar(link: ShareLink, default_language: str) -> CalendarScope | None:
    """What ``link`` shows now; None when the standing on which it was asked for has ended."""
    projects = _projects(link)
    if not projects:
        return None
    company, person = link.company, link.person
    trades = _trades(company, projects) if company else frozenset()
    return CalendarScope(
        link=link,
        audience=f"company:{company.uid}" if company else f"visits:{person.uid}" if person else "",
        projects=tuple(projects),
        trades=trades,
        visits=company is None or any(trade == "lift" for _, trade in trades),
        language=_language(link) or default_language,
    )


def _language(link: ShareLink) -> str:
    """That of whoever reads it: of the account, else of the link by which it was asked for, else its own."""
    if link.person is not None:
        return link.person.language
    return link.through.language if link.through is not None else link.language


def coordinated_by(person: Person) -> QuerySet[Project]:
    """The projects that the person coordinates."""
    standings = Membership.objects.filter(person=person, role="coordinator", left_at__isnull=True)
    return Project.objects.filter(pk__in=standings.values("project")).order_by("name", "pk")


def companies_coordinated_by(person: Person) -> list[Company]:
    """The companies with work on any project that the person coordinates, by name."""
    assigned = Assignment.objects.filter(project__in=coordinated_by(person), ended_at__isnull=True)
    return list(Company.objects.filter(pk__in=assigned.values("company")).order_by("name", "pk"))


def calendars_of(person: Person, at: datetime) -> list[OwnCalendar]:
    """The person's own calendars that still open something, newest first."""
    own = ShareLink.objects.filter(
        person=person, purpose="calendar", revoked_at__isnull=True, expires_at__gt=at
    ).select_related("company", "project")
    return [
        OwnCalendar(
            link, link.company.name if link.company else "", link.project.name if link.project else ""
        )
        for link in own.order_by("-issued_at", "-pk")
    ]


def _projects(link: ShareLink) -> list[Project]:
    """The projects that the address may show; none where the standing behind it has ended."""
    if link.project is not None:
        return [link.project] if _still_stands(link) else []
    if link.person is None:
        return []
    return list(coordinated_by(link.person))


def _still_stands(link: ShareLink) -> bool:
    if link.person is None:
        return True
    standings = Membership.objects.filter(
        project=link.project, person=link.person, company=link.company, left_at__isnull=True
    )
    return standings.exists()


def _trades(company: Company, projects: list[Project]) -> frozenset[tuple[int, str]]:
    """Project and trade of everything that the company does there."""
    assigned = Assignment.objects.filter(company=company, project__in=projects, ended_at__isnull=True)
    return frozenset(assigned.values_list("project_id", "trade"))
