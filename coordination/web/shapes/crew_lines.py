"""Who goes where when: the answer of a levelling as a picture, a table, and what each wish costs the others."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from coordination.dates.models import Levelling
from coordination.pictures.time_chart import Bar, Tick, TimeChart
from coordination.web.shapes.visit_lines import NAMES
from coordination.web.texts import on_day, said

ONE = timedelta(days=1)


@dataclass(frozen=True)
class Stay:
    """A crew on a site from its first to its last day there; ``book`` is where its visit is booked for that day."""

    crew: str
    site: str
    href: str
    what: str
    first: date
    last: date
    booked: bool
    book: str = ""

    @property
    def days(self) -> str:
        if self.first == self.last:
            return f"{on_day(self.first)} {self.first.year}"
        return f"{on_day(self.first)} – {on_day(self.last)} {self.last.year}"


@dataclass(frozen=True)
class SiteLine:
    """What the answer means for one site."""

    name: str
    href: str
    ready: str
    wanted: str
    late: str
    is_late: bool
    weight: int


@dataclass(frozen=True)
class WishLine:
    """What the wish of one site would cost: one sentence for it and one for each of the others that it moves."""

    name: str
    wish: str
    sentences: tuple[str, ...]


@dataclass(frozen=True)
class Plan:
    """One levelling for the page."""

    row: Levelling
    under_way: bool
    stopping: bool
    crews: tuple[tuple[str, tuple[Stay, ...]], ...] = ()
    sites: tuple[SiteLine, ...] = ()
    wishes: tuple[WishLine, ...] = ()
    given_up: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
    proved: bool = False
    late: int = 0
    chart: TimeChart | None = field(default=None)


def plan_of(row: Levelling, own: Mapping[str, str], today: date) -> Plan:
    """The levelling as it stands; ``own`` are names by uid of the sites on which the reader stands."""
    return _Telling(row, own, today).plan()


class _Telling:
    def __init__(self, row: Levelling, own: Mapping[str, str], today: date) -> None:
        self.row, self.own, self.today = row, own, today
        self.given = json.loads(row.input)
        self.told: dict[str, Any] = json.loads(row.answer) if row.answer else {}
        self.sites = {site["uid"]: site for site in self.given["sites"]}
        self.booked = {key for site in self.given["sites"] for key in site["booked"]}

    def plan(self) -> Plan:
        row, told = self.row, self.told
        under_way = row.ended_at is None
        plan = Plan(row, under_way, row.stop_asked_at is not None)
        if told.get("faults"):
            return Plan(row, under_way, plan.stopping, faults=tuple(map(self._fault, told["faults"])))
        if not told:
            return plan
        stays = self._stays()
        return Plan(
            row,
            under_way,
            plan.stopping,
            crews=tuple(
                (self.crew(uid), tuple(stay for stay in stays if stay.crew == uid))
                for uid in self.given["crews"]
            ),
            sites=tuple(map(self._site, self.given["sites"])),
            wishes=tuple(self._wishes()),
            given_up=tuple(self._task(key) for key in told["given_up"]),
            proved=told["late"] == told["least"],
            late=told["late"],
            chart=self._chart(stays),
        )

    def _name(self, uid: str) -> str:
        """A site's name; those on which the reader does not stand stay unnamed."""
        return self.own.get(uid) or _("A site of another coordinator")

    def _href(self, uid: str, name: str = "visits") -> str:
        return reverse(name, args=[uid]) if uid in self.own else ""

    def _what(self, key: str) -> str:
        """The visit that a task belongs to, else the task itself."""
        visit = self.given["trips"].get(key, "").partition("/")[2]
        return str(NAMES[visit]) if visit in NAMES else said(self.given["words"].get(key, {}))

    def _task(self, key: str) -> str:
        uid = key.partition("/")[0]
        return f"{self._name(uid)}: {self._what(key)}"

    def _stays(self) -> list[Stay]:
        """Each crew's stays in order: work of one visit with nothing elsewhere in between is one stay."""
        spans: dict[str, list[tuple[date, date, str]]] = {}
        for key, names in self.told["crews"].items():
            for name in names:
                first, last = (date.fromisoformat(self.told[when][key]) for when in ("starts", "last"))
                spans.setdefault(name, []).append((first, last, key))
        found = []
        for crew in self.given["crews"]:
            for first, last, keys in _joined(sorted(spans.get(crew, ())), self.given["trips"]):
                uid = keys[0].partition("/")[0]
                what = dict.fromkeys(self._what(key) for key in keys)
                booked = any(key in self.booked and key not in self.told["given_up"] for key in keys)
                book = "" if booked else self._booking(keys[0], first)
                found.append(
                    Stay(crew, self._name(uid), self._href(uid), ", ".join(what), first, last, booked, book)
                )
        return found

    def _booking(self, key: str, first: date) -> str:
        """The page of the visit that begins with this work, with the day chosen; none for other work or begun work."""
        uid, visit = key.partition("/")[0], self.given["trips"].get(key, "").partition("/")[2]
        if visit not in NAMES or uid not in self.own or first <= self.today:
            return ""
        return f"{reverse('visit', args=[uid, visit])}?day={first.isoformat()}"

    def crew(self, uid: str) -> str:
        name, company, people = self.given["crews"][uid][3:6]
        size = ngettext("%(n)s person", "%(n)s people", people) % {"n": people}
        return _("%(crew)s, %(company)s, %(size)s") % {"crew": name, "company": company, "size": size}

    def _site(self, site: Mapping[str, Any]) -> SiteLine:
        end, due = date.fromisoformat(self.told["ends"][site["uid"]]), date.fromisoformat(site["due"])
        days = (end - due).days
        late = (
            ngettext("%(n)s day later", "%(n)s days later", days) % {"n": days} if days > 0 else _("in time")
        )
        wanted = f"{on_day(due)} {due.year}"
        return SiteLine(
            self._name(site["uid"]),
            self._href(site["uid"], "dates"),
            f"{on_day(end)} {end.year}",
            wanted if site["own_wish"] else _("%(day)s, with crews of its own") % {"day": wanted},
            late,
            days > 0,
            site["weight"],
        )

    def _wishes(self) -> Iterable[WishLine]:
        base = {uid: date.fromisoformat(day) for uid, day in self.told["ends"].items()}
        for uid, wish in self.told["wishes"].items():
            days = self.sites[uid]["wish"].values()
            asked = next((date.fromisoformat(day) for day in days), None)
            words = _("the crew on %(day)s") % {"day": on_day(asked)} if asked else _("to be served first")
            yield WishLine(self._name(uid), words, tuple(self._cost(uid, wish["ends"], base)))

    def _cost(self, uid: str, ends: Mapping[str, str] | None, base: Mapping[str, date]) -> Iterable[str]:
        if ends is None:
            yield _(
                "This day cannot be had: the site is not ready by then, or work under way needs the crew."
            )
            return
        moved = {site: (date.fromisoformat(day) - base[site]).days for site, day in ends.items()}
        yield _moved(self._name(uid), moved[uid])
        others = [site for site, days in moved.items() if site != uid and days]
        yield from (_moved(self._name(site), moved[site]) for site in others)
        if not others:
            yield _("It costs the other sites nothing.")

    def _fault(self, fault: list[str]) -> str:
        kind, *subject = fault
        if kind == "crew cannot be there":
            key = subject[1]
            return _("%(task)s is under way, and no crew that was entered can be there.") % {
                "task": self._task(key)
            }
        return _("There is no way to send the crews: %(why)s") % {"why": ": ".join([kind, *subject])}

    def _chart(self, stays: list[Stay]) -> TimeChart | None:
        if not stays:
            return None
        first = min([*(stay.first for stay in stays), self.today])
        first -= timedelta(days=first.weekday())
        days = float((max(stay.last for stay in stays) - first).days + 4)
        bars = [
            Bar(
                key=str(number),
                trade=stay.crew,
                name=f"{stay.site.partition(',')[0]}: {stay.what}",
                start=float((stay.first - first).days),
                end=float((stay.last - first).days + 1),
                manner="critical" if stay.booked else "planned",
                href=stay.href or None,
            )
            for number, stay in enumerate(stays)
        ]
        today = (self.today - first).days
        return TimeChart(
            title=_("Who goes where when"),
            description=_("Each crew’s stays on the sites, by calendar days; booked visits are drawn full."),
            days=days,
            trades=tuple((uid, self.crew(uid)) for uid in self.given["crews"]),
            bars=tuple(bars),
            ticks=_ticks(first, days),
            day_words=lambda boundary: on_day(first + timedelta(days=int(boundary))),
            manner_words={
                "planned": _("planned"),
                "critical": _("booked"),
                "provisional": _("provisional"),
                "done": _("done"),
            },
            today=(float(today), _("today")) if 0 <= today <= days else None,
        )


def _joined(
    spans: list[tuple[date, date, str]], trips: Mapping[str, str]
) -> list[tuple[date, date, list[str]]]:
    found: list[tuple[date, date, list[str]]] = []
    for first, last, key in spans:
        if found and trips.get(key, key) == trips.get(found[-1][2][-1], found[-1][2][-1]):
            begun, ended, keys = found[-1]
            found[-1] = begun, max(ended, last), [*keys, key]
        else:
            found.append((first, last, [key]))
    return found


def _ticks(first: date, days: float) -> tuple[Tick, ...]:
    """A strong mark at the first of each month, a small one with its day at each Monday."""
    found = []
    for number in range(int(days) + 1):
        day = first + timedelta(days=number)
        if day.day == 1:
            found.append(Tick(float(number), date_format(day, pgettext("date format", "M Y")), strong=True))
        elif day.weekday() == 0:
            found.append(Tick(float(number), date_format(day, pgettext("date format", "j M"))))
    return tuple(found)


def _moved(name: str, days: int) -> str:
    if not days:
        return _("%(site)s would be done on the same day.") % {"site": name}
    if days < 0:
        words = ngettext(
            "%(site)s would be done %(n)s day sooner.", "%(site)s would be done %(n)s days sooner.", -days
        )
    else:
        words = ngettext(
            "%(site)s would be done %(n)s day later.", "%(site)s would be done %(n)s days later.", days
        )
    return words % {"site": name, "n": abs(days)}
