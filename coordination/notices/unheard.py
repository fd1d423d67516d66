"""Companies, owners and inspectors who came by a link and whom no mail reaches: somebody has to call or text them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from coordination.access.models import Company, Project, ShareLink
from coordination.access.queries import ROLE_OF_LINK
from coordination.dates.calls import reached
from coordination.gates.queries import Scene
from coordination.notices.happened import Happened, happened
from coordination.notices.people import People

PAGES = tuple(ROLE_OF_LINK)


@dataclass(frozen=True)
class Party:
    """Who is to be told. ``role`` is that of their link; ``language`` empty where nobody said; ``opened`` when last.

    ``has_link`` says whether a link of theirs opens anything today.
    """

    name: str
    role: str
    company: Company | None
    phone: str
    language: str
    opened: datetime | None
    has_link: bool


@dataclass(frozen=True)
class Unheard:
    """A party with what happened since it last opened its link and was last reached; the newest first."""

    party: Party
    news: tuple[Happened, ...]


@dataclass
class Links:
    """The links of some projects that were not taken back, the oldest first; read once for all of them."""

    rows: list[ShareLink] = field(default_factory=list)

    @classmethod
    def of(cls, projects: Iterable[Project]) -> "Links":
        rows = ShareLink.objects.filter(project__in=list(projects), purpose__in=PAGES, revoked_at=None)
        return cls(list(rows.order_by("pk")))

    def for_company(self, project: Project, company: Company) -> list[ShareLink]:
        return [
            row
            for row in self.rows
            if (row.project_id, row.company_id, row.purpose) == (project.pk, company.pk, "company tasks")
        ]

    def holders(self, project: Project, purpose: str) -> list[list[ShareLink]]:
        """Those links of one purpose by which somebody came in, by who holds them."""
        found: dict[str, list[ShareLink]] = {}
        for row in self.rows:
            if (row.project_id, row.purpose) == (project.pk, purpose) and row.used_at:
                found.setdefault(row.holder, []).append(row)
        return list(found.values())


def parties(
    people: People, trades: Iterable[str], purposes: Iterable[str], links: Links, now: datetime
) -> list[Party]:
    """Of those whom something concerns, the ones whom no mail reaches."""
    found = [
        _party(links.for_company(people.project, company), "subcontractor", company, now)
        for company in people.without_account(trades)
        if not company.email
    ]
    for purpose in sorted(purposes):
        role = ROLE_OF_LINK[purpose]
        if not people.in_roles({role}):
            found += [_party(rows, role, None, now) for rows in links.holders(people.project, purpose)]
    return found


def unheard(scenes: Mapping[int, Scene], now: datetime) -> dict[int, list[Unheard]]:
    """By the project's own key, everybody who does not know yet what happened; two queries however many projects."""
    projects = [scene.holding.project for scene in scenes.values()]
    links, told = Links.of(projects), reached(projects)
    found: dict[int, list[Unheard]] = {}
    for pk, scene in scenes.items():
        people = People.of(scene.holding)
        news: dict[Party, list[Happened]] = {}
        for each in happened(scene, now):
            for party in parties(people, each.trades, each.links, links, now):
                knows = (party.opened, told.get((pk, party.name)))
                if not any(moment and moment >= each.at for moment in knows):
                    news.setdefault(party, []).append(each)
        found[pk] = [Unheard(party, tuple(items)) for party, items in news.items()]
    return found


def language_of(project: Project, company: Company) -> str:
    """The language that the newest link of a company was sent in; empty where nobody said."""
    rows = Links.of([project]).for_company(project, company)
    return rows[-1].language if rows else ""


def _party(rows: list[ShareLink], role: str, company: Company | None, now: datetime) -> Party:
    phones = [row.phone for row in rows if row.phone]
    return Party(
        name=company.name if company else (rows[-1].holder or role),
        role=role,
        company=company,
        phone=phones[-1] if phones else (company.phone if company else ""),
        language=rows[-1].language if rows else "",
        opened=max((row.last_opened_at for row in rows if row.last_opened_at), default=None),
        has_link=any(row.expires_at > now for row in rows),
    )
