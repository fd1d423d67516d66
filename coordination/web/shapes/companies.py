"""Trades with their companies, and people with their roles, as lines of a list."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from coordination.access.models import Project
from coordination.access.queries import CompanyView, Member
from coordination.projects.models import Task
from coordination.projects.trade_words import in_words_of
from coordination.siteprep.catalogue import load_catalogue
from coordination.web.texts import said
from coordination.web.words import ROLES


@dataclass(frozen=True)
class TradeLine:
    """A trade of the plan, the company that does its work, and how many of its tasks are to do."""

    key: str
    name: str
    company: CompanyView | None
    to_do: int
    people: tuple[str, ...]


@dataclass(frozen=True)
class MemberLine:
    """Somebody who stands on the project. ``may_end`` says whether the visitor may let them go."""

    uid: UUID
    name: str
    what: str
    company: str
    phone: str
    email: str
    deputy: bool
    may_end: bool


def trade_names(project: Project, *, everybody: bool = False) -> dict[str, str]:
    """Every trade that a company can have, in the catalogue's order, in the words of the code set.

    With ``everybody`` also whoever inspects.
    """
    trades = load_catalogue().trades.values()
    return {
        trade.key: in_words_of(project.code_set, said(trade.text))
        for trade in trades
        if everybody or trade.role != "inspector"
    }


def trade_lines(
    project: Project, assigned: Mapping[str, CompanyView], people: Iterable[Member]
) -> list[TradeLine]:
    """The trades that the plan has work for, or that have a company; all while there is no plan."""
    tasks = Task.objects.filter(project=project, retired_in__isnull=True, is_gate=False)
    planned = list(tasks.values_list("trade", "finished_on"))
    found, listed = {trade for trade, _done in planned} | assigned.keys(), list(people)
    return [
        TradeLine(
            key,
            name,
            assigned.get(key),
            sum(trade == key and done is None for trade, done in planned),
            tuple(member.name for member in listed if member.trade == key),
        )
        for key, name in trade_names(project).items()
        if key in found or not planned
    ]


def member_lines(
    people: Iterable[Member], trades: Mapping[str, str], ending: Mapping[str, bool]
) -> list[MemberLine]:
    """Members by weight of role; ``ending`` says for each role whether the visitor may end it."""
    return [
        MemberLine(
            uid=member.uid,
            name=member.name,
            what=", ".join(filter(None, (str(ROLES[member.role]), trades.get(member.trade, "")))),
            company=member.company.name,
            phone=member.phone,
            email=member.email,
            deputy=member.deputy,
            may_end=ending[member.role],
        )
        for member in people
    ]
