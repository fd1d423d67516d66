"""Everybody who may be told something on a project: members with an account, and companies that only came by a link."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from coordination.access.models import Assignment, Company, Membership, Person, Project
from coordination.access.queries import ALWAYS
from coordination.gates.holding import Holding


@dataclass
class People:
    """Everybody who stands on a project with an account that is open, and their trades; read once for many events."""

    project: Project

    @classmethod
    def of(cls, holding: Holding) -> "People":
        """The same from what a decision has loaded already."""
        people = cls(holding.project)
        standing = [row for row in holding.memberships if row.person.is_active]
        people.standing = sorted(standing, key=lambda row: row.pk)
        people.assigned = holding.assignments
        return people

    @cached_property
    def standing(self) -> list[Membership]:
        rows = Membership.objects.filter(project=self.project, left_at=None, person__is_active=True)
        return list(rows.select_related("person").order_by("pk"))

    @cached_property
    def assigned(self) -> list[Assignment]:
        rows = Assignment.objects.filter(project=self.project, ended_at=None)
        return list(rows.select_related("company").order_by("trade"))

    @cached_property
    def companies(self) -> Mapping[str, int]:
        return {row.trade: row.company_id for row in self.assigned}

    def in_roles(self, roles: Iterable[str]) -> list[Person]:
        wanted = set(roles)
        return [row.person for row in self.standing if row.role in wanted]

    def of_trades(self, trades: Iterable[str]) -> list[Person]:
        """Members who do one of these trades' work: by their own trade, or because their company does it."""
        wanted = set(trades)
        return [row.person for row in self.standing if wanted & self._trades(row)]

    def without_account(self, trades: Iterable[str]) -> list[Company]:
        """Companies that do these trades' work while none of their people has an account here."""
        wanted = set(trades)
        found = {row.company_id: row.company for row in self.assigned if row.trade in wanted}
        heard = {row.company_id for row in self.standing if wanted & self._trades(row)}
        return [company for pk, company in sorted(found.items()) if pk not in heard]

    def to_be_mailed(self, trades: Iterable[str]) -> list[Person | Company]:
        """Members who do these trades' work, and companies without an account that have an e-mail."""
        wanted = set(trades)
        alone = [company for company in self.without_account(wanted) if company.email]
        return [*self.of_trades(wanted), *alone]

    def _trades(self, row: Membership) -> set[str]:
        own = {row.trade, ALWAYS.get(row.role, "")} - {""}
        by_company = {trade for trade, company in self.companies.items() if company == row.company_id}
        others = {trade for trade in own if self.companies.get(trade, row.company_id) != row.company_id}
        return (own - others) | by_company
