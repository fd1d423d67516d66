"""Who asks, what they stand on, and who else is there."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from coordination.access.models import ROLES, Assignment, Company, Membership, Person, Project, ShareLink
from coordination.access.refusals import NotVisible
from coordination.access.visitors import Visitor

ROLE_OF_LINK: Mapping[str, str] = {
    "company tasks": "subcontractor",
    "owner page": "owner",
    "inspection": "inspector",
}
ALWAYS: Mapping[str, str] = {"lift crew": "lift", "contractor": "general contractor"}


@dataclass(frozen=True)
class CompanyView:
    """A company as others on the project see it."""

    uid: UUID
    name: str
    phone: str
    contact: str
    signs_in: bool
    email: str = ""


@dataclass(frozen=True)
class Site:
    """A project somebody stands on, with the roles they have there."""

    uid: UUID
    name: str
    place: str
    stage: str
    supplier: str
    roles: tuple[str, ...]
    code_set: str = "us"


@dataclass(frozen=True)
class Member:
    """A standing membership."""

    uid: UUID
    identity: str
    name: str
    phone: str
    email: str
    company: CompanyView
    role: str
    trade: str
    deputy: bool


@dataclass(frozen=True)
class LinkView:
    """A link that was sent, without its token, which nobody knows any more."""

    uid: UUID
    purpose: str
    company: str
    holder: str
    phone: str
    language: str
    issued_at: datetime
    expires_at: datetime
    revoked_at: datetime | None
    first_opened_at: datetime | None
    last_opened_at: datetime | None
    times_opened: int


def visitor_for(
    *, person: Person | None, link_uids: Sequence[UUID], project_uid: UUID, at: datetime
) -> Visitor:
    """Whoever asks, as a visitor of the project: by membership, else by the link opened last.

    ``link_uids`` are those the browser has opened, the last one last. What a membership and a link allow is not
    added up. Raises NotVisible for everybody else, and for a project that does not exist.
    """
    if person is not None and person.is_active and (standings := _standings(person, project_uid)):
        return _by_membership(person, standings)
    if link := _newest_open_link(link_uids, project_uid, at):
        return _by_link(link)
    raise NotVisible


def coordinator_of(person: Person | None, supplier_uid: UUID, at: datetime) -> Visitor:
    """Whoever coordinates a site of the supplier, as a visitor of the oldest such site. Raises NotVisible."""
    if person is not None and person.is_active:
        standing = Membership.objects.filter(
            person=person, role="coordinator", left_at__isnull=True, project__supplier__uid=supplier_uid
        )
        if first := standing.select_related("project").order_by("project__pk").first():
            return visitor_for(person=person, link_uids=[], project_uid=first.project.uid, at=at)
    raise NotVisible


def sites_of(person: Person) -> list[Site]:
    """Every project the person stands on, by name."""
    standings = Membership.objects.filter(person=person, left_at__isnull=True)
    roles: dict[Project, set[str]] = {}
    for standing in standings.select_related("project__supplier").order_by("project__name", "project__pk"):
        roles.setdefault(standing.project, set()).add(standing.role)
    return [
        Site(
            project.uid,
            project.name,
            project.place,
            project.stage,
            project.supplier.name,
            tuple(sorted(held, key=ROLES.index)),
            project.code_set,
        )
        for project, held in roles.items()
    ]


def assignments(project: Project) -> dict[str, CompanyView]:
    """The company of each trade that has one, in order of the trades' names."""
    return assignments_of([project])[project.pk]


def assignments_of(projects: Iterable[Project]) -> dict[int, dict[str, CompanyView]]:
    """For each project's own key, the company of each trade; one query however many projects."""
    found: dict[int, dict[str, CompanyView]] = {project.pk: {} for project in projects}
    standing = Assignment.objects.filter(project__in=found, ended_at__isnull=True).select_related("company")
    for assignment in standing.order_by("trade"):
        found[assignment.project_id][assignment.trade] = _view(assignment.company)
    return found


def companies(project: Project) -> list[CompanyView]:
    """Every company that the project's supplier knows, by name."""
    return [_view(c) for c in Company.objects.filter(supplier=project.supplier_id).order_by("name")]


def company_of(project: Project, uid: UUID) -> Company:
    """The company with this uid, as far as the project's supplier knows it. Raises NotVisible."""
    company = Company.objects.filter(supplier=project.supplier_id, uid=uid).first()
    if company is None:
        raise NotVisible
    return company


def members(project: Project) -> list[Member]:
    """Standing members, by weight of role and then by name."""
    standing = Membership.objects.filter(project=project, left_at__isnull=True)
    found = [
        Member(
            uid=m.uid,
            identity=f"person:{m.person.uid}",
            name=m.person.name,
            phone=m.person.phone or m.company.phone,
            email=m.person.email,
            company=_view(m.company),
            role=m.role,
            trade=m.trade,
            deputy=m.deputy,
        )
        for m in standing.select_related("person", "company")
    ]
    return sorted(found, key=lambda m: (ROLES.index(m.role), m.deputy, m.trade, m.name))


def links(project: Project) -> list[LinkView]:
    """Every link sent for the project, newest first."""
    sent = ShareLink.objects.filter(project=project).select_related("company").order_by("-issued_at", "-pk")
    return [
        LinkView(
            uid=link.uid,
            purpose=link.purpose,
            company=link.company.name if link.company else "",
            holder=link.holder,
            phone=link.phone,
            language=link.language,
            issued_at=link.issued_at,
            expires_at=link.expires_at,
            revoked_at=link.revoked_at,
            first_opened_at=link.used_at,
            last_opened_at=link.last_opened_at,
            times_opened=link.times_opened,
        )
        for link in sent
    ]


def language_of_link(token_sha256: str) -> str:
    """The language in which a link was sent, also of one that has ended; empty where none was said or none is known."""
    return (
        ShareLink.objects.filter(token_sha256=token_sha256).values_list("language", flat=True).first() or ""
    )


def _standings(person: Person, project_uid: UUID) -> list[Membership]:
    standing = Membership.objects.filter(person=person, project__uid=project_uid, left_at__isnull=True)
    found = list(standing.select_related("project__supplier", "company"))
    return sorted(found, key=lambda m: (ROLES.index(m.role), m.deputy, m.trade))


def _by_membership(person: Person, standings: list[Membership]) -> Visitor:
    """The weightiest membership names the company; trades come from all of them."""
    first = standings[0]
    company_of_trade = _companies_of_trades(first.project)
    trades = {ALWAYS[m.role] for m in standings if m.role in ALWAYS}
    for m in standings:
        if m.trade and company_of_trade.get(m.trade, m.company_id) == m.company_id:
            trades.add(m.trade)
        trades |= _trades_of(m.company_id, company_of_trade)
    return Visitor(
        project=first.project,
        roles=frozenset(m.role for m in standings),
        trades=frozenset(trades),
        company=first.company.uid,
        company_name=first.company.name,
        name=person.name,
        phone=person.phone or first.company.phone,
        identity=f"person:{person.uid}",
        deputy=all(m.deputy for m in standings if m.role == first.role),
    )


def _by_link(link: ShareLink) -> Visitor:
    project, company = link.project, link.company
    if project is None:
        raise NotVisible
    trades = _trades_of(company.pk, _companies_of_trades(project)) if company else frozenset()
    return Visitor(
        project=project,
        roles=frozenset({ROLE_OF_LINK[link.purpose]}),
        trades=frozenset(trades),
        company=company.uid if company else None,
        company_name=company.name if company else "",
        name=link.holder or (company.contact or company.name if company else ""),
        phone=link.phone or (company.phone if company else ""),
        identity=f"link:{link.uid}",
    )


def _newest_open_link(link_uids: Sequence[UUID], project_uid: UUID, at: datetime) -> ShareLink | None:
    still_open = ShareLink.objects.filter(
        uid__in=list(link_uids),
        project__uid=project_uid,
        purpose__in=ROLE_OF_LINK,
        revoked_at__isnull=True,
        expires_at__gt=at,
    ).select_related("project__supplier", "company")
    return max(still_open, key=lambda link: list(link_uids).index(link.uid), default=None)


def _companies_of_trades(project: Project) -> dict[str, int]:
    standing = Assignment.objects.filter(project=project, ended_at__isnull=True)
    return dict(standing.values_list("trade", "company_id"))


def _trades_of(company: int, company_of_trade: Mapping[str, int]) -> set[str]:
    return {trade for trade, assigned in company_of_trade.items() if assigned == company}


def _view(company: Company) -> CompanyView:
    return CompanyView(
        company.uid, company.name, company.phone, company.contact, company.signs_in, company.email
    )
