"""Trades with their companies, and people with their roles, as lines of a list."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.access.models import Project
from coordination.access.queries import CompanyView, Member
from coordination.projects.local_rules import catalogue_of
from coordination.projects.models import Task
from coordination.projects.trade_words import in_words_of
from coordination.web.texts import on_day, said
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

    The project's own rules may name more. With ``everybody`` also whoever inspects.
    """
    trades = catalogue_of(project).trades.values()
    return {
        trade.key: in_words_of(project.code_set, said(trade.text))
        for trade in trades
        if everybody or trade.role != "inspector"
    }


def trade_lines(
    project: Project,
    trades: Mapping[str, str],
    assigned: Mapping[str, CompanyView],
    people: Iterable[Member],
) -> list[TradeLine]:
    """The lines of ``trades`` (see ``trade_names``) with work in the plan or a company; all while there is no plan."""
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
        for key, name in trades.items()
        if key in found or not planned
    ]


def assignment_words(
    trade: str, standing: CompanyView | None, company: str, day: date | None, number: int
) -> list[str]:
    """What changes when a company gets a trade, and with the day from which it can come."""
    before = standing.name if standing else _("nobody yet")
    told = [_("%(trade)s: %(before)s → %(after)s") % {"trade": trade, "before": before, "after": company}]
    if day is not None and number:
        words = ngettext(
            "%(n)d task that has not begun: not before %(day)s",
            "%(n)d tasks that have not begun: not before %(day)s",
            number,
        )
        told.append(words % {"n": number, "day": f"{on_day(day)} {day.year}"})
    return told


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
