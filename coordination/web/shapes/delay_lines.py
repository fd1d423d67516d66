"""As planned against as built, for the page, the picture and the paper."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from django.utils.formats import date_format, number_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from coordination.dates.delay_account import DelayAccount, WindowAccount
from coordination.dates.delay_reading import Behind
from coordination.pictures.delay_chart import EndChart, GateChart, GatePair, Step, Steps
from coordination.pictures.time_chart import Tick
from coordination.web.shapes.delay_words import KINDS
from coordination.web.texts import on_day
from coordination.web.words import DECIDERS, ROLES

CLEARED = "gate cleared: "  # as baselines say why they were kept


@dataclass(frozen=True)
class CauseLine:
    """One cause of a window: its share of the end, and the working days that it cost the work itself."""

    words: str
    party: str
    share: str
    own_days: str
    alone: str
    note: str
    moves: bool


@dataclass(frozen=True)
class WindowLine:
    """One window: as planned at its begin, as built at its end."""

    days: str
    kept: str
    planned: str
    expected: str
    slip: str
    causes: tuple[CauseLine, ...]
    quiet: int


@dataclass(frozen=True)
class PartyLine:
    party: str
    share: str


@dataclass(frozen=True)
class GateLine:
    name: str
    planned: str
    built: str
    state: str
    moved: str


@dataclass(frozen=True)
class Delay:
    """Everything that the page tells. ``still`` are the windows in which the end did not move."""

    windows: tuple[WindowLine, ...]
    still: tuple[str, ...]
    parties: tuple[PartyLine, ...]
    gates: tuple[GateLine, ...]
    planned: str
    expected: str
    moved: str
    end_picture: EndChart | None
    gate_picture: GateChart | None


def delay_lines(
    found: DelayAccount, names: Mapping[str, str], facts: Mapping[str, str], trades: Mapping[str, str]
) -> Delay:
    """The account in words; ``names`` of tasks and ``facts`` by key, ``trades`` in the words of the code set."""
    return _Telling(found, names, facts, trades).delay()


class _Telling:
    def __init__(
        self,
        found: DelayAccount,
        names: Mapping[str, str],
        facts: Mapping[str, str],
        trades: Mapping[str, str],
    ) -> None:
        self.found, self.names, self.facts, self.trades = found, names, facts, trades

    def delay(self) -> Delay:
        found, lines = self.found, [*map(self._window, self.found.windows)]
        return Delay(
            windows=tuple(line for line in lines if line.causes),
            still=tuple(line.days for line in lines if not line.causes),
            parties=tuple(self._parties()),
            gates=tuple(
                GateLine(
                    self.names.get(gate.key, gate.key), _day(gate.planned), _day(gate.now),
                    _("cleared") if gate.cleared else _("expected"), moved_words((gate.now - gate.planned).days),
                )
                for gate in found.gates
            ),
            planned=_day(found.planned) if found.planned else "",
            expected=_day(found.expected) if found.expected else "",
            moved=moved_words(found.slip),
            end_picture=self._end_picture(),
            gate_picture=self._gate_picture(),
        )  # fmt: skip

    def _window(self, window: WindowAccount) -> WindowLine:
        told = window.account
        lines = [self._cause(window, behind) for behind in window.behind]
        lines += self._besides(window)
        return WindowLine(
            days=_span(told.begin, told.end),
            kept=self._kept(window.baseline),
            planned=_day(told.planned),
            expected=_day(told.expected),
            slip=moved_words(window.slip),
            causes=tuple(line for line in lines if line.moves),
            quiet=sum(not line.moves for line in lines),
        )

    def _parties(self) -> Iterable[PartyLine]:
        """Shares by party, then what lies with none, and the whole."""
        found = self.found
        yield from (PartyLine(self._party(key), days_of(days)) for key, days in found.parties)
        for words, days in (
            (_("plan, links or days changed"), sum(each.account.logic for each in found.windows)),
            (_("work done in another order than planned"), sum(each.account.left for each in found.windows)),
        ):
            if days:
                yield PartyLine(words, days_of(Fraction(days)))
        if found.parties:
            yield PartyLine(_("in all"), days_of(Fraction(sum(each.slip for each in found.windows))))

    def _cause(self, window: WindowAccount, behind: Behind) -> CauseLine:
        share = next((each for each in window.account.causes if each.cause == behind.key), None)
        days = share.share if share else Fraction(0)
        note = behind.words
        if share and share.within:
            note = _("%(words)s (within %(days)s)") % {"words": note, "days": number_format(share.within, 1)}
        return CauseLine(
            words=self._words(behind),
            party=self._party(behind.party),
            share=days_of(days),
            own_days=ngettext("%(n)s working day", "%(n)s working days", abs(behind.days))
            % {"n": behind.days},
            alone=days_of(Fraction(share.alone)) if share else days_of(Fraction(0)),
            note=note.strip(),
            moves=bool(days),
        )

    def _besides(self, window: WindowAccount) -> Iterable[CauseLine]:
        """What is no cause of progress: a changed plan, and work in another order than planned."""
        told = window.account
        if told.logic:
            facts = ", ".join(self.facts.get(key, key) for key in window.facts[:6])
            words = _("plan changed after facts were stated") if facts else _("plan, links or days changed")
            yield CauseLine(words, "", days_of(Fraction(told.logic)), "", "", facts, True)
        if told.left:
            words = _("work done in another order than planned")
            yield CauseLine(words, "", days_of(Fraction(told.left)), "", "", "", True)

    def _words(self, behind: Behind) -> str:
        about = self.facts if behind.kind == "late answer" else self.names
        subject = about.get(behind.subject, behind.subject)
        return _("%(kind)s: %(subject)s") % {"kind": KINDS.get(behind.kind, behind.kind), "subject": subject}

    def _party(self, key: str) -> str:
        kind, _colon, name = key.partition(":")
        if not key:
            return _("nobody on site")
        if kind == "trade":
            return self.trades.get(name, name)
        if kind == "role":
            return str(DECIDERS.get(name) or ROLES.get(name, name))
        return name

    def _kept(self, reason: str) -> str:
        """Why the baseline at the begin of a window was kept."""
        if reason.startswith(CLEARED):
            return _("gate cleared: %(gate)s") % {
                "gate": self.names.get(reason, reason.removeprefix(CLEARED))
            }
        return reason

    def _end_picture(self) -> EndChart | None:
        found = self.found
        if not found.planned or not found.expected or not found.windows:
            return None
        at, reached = 0.0, [0.0, float(found.slip)]
        windows = []
        for window in found.windows:
            steps = []
            for line, days in self._moving(window):
                steps.append(Step(f"{line.words}: {line.share}", float(days)))
                at += float(days)
                reached.append(at)
            if steps:
                told = window.account
                words = _("%(days)s: %(moved)s") % {
                    "days": _span(told.begin, told.end), "moved": moved_words(window.slip),
                }  # fmt: skip
                windows.append(Steps(words, tuple(steps)))
        low, high = min(reached) - 3, max(reached) + 4
        return EndChart(
            title=_("How the end moved"),
            description=_("From the end as planned to the end as it stands, one bar for each cause."),
            planned=0.0,
            planned_words=_("As planned: %(day)s") % {"day": _day(found.planned)},
            expected=float(found.slip),
            expected_words=_("As it stands: %(day)s") % {"day": _day(found.expected)},
            windows=tuple(windows),
            ticks=_ticks(found.planned, low, high),
            low=low,
            high=high,
        )

    def _moving(self, window: WindowAccount) -> Iterable[tuple[CauseLine, Fraction]]:
        shares = {share.cause: share.share for share in window.account.causes}
        for behind in window.behind:
            if shares.get(behind.key):
                yield self._cause(window, behind), shares[behind.key]
        besides = [days for days in (window.account.logic, window.account.left) if days]
        yield from zip(self._besides(window), map(Fraction, besides), strict=True)

    def _gate_picture(self) -> GateChart | None:
        gates = self.found.gates
        if not gates:
            return None
        origin = min(min(gate.planned, gate.now) for gate in gates)
        low, high = (
            -7.0,
            float(max(max(g.planned, g.now) for g in gates).toordinal() - origin.toordinal() + 10),
        )
        return GateChart(
            title=_("Gates as planned and as built"),
            description=_(
                "For each gate the planned day and the day on which it was cleared or is expected."
            ),
            gates=tuple(
                GatePair(
                    self.names.get(gate.key, gate.key),
                    float((gate.planned - origin).days),
                    float((gate.now - origin).days),
                    gate.cleared,
                    moved_words((gate.now - gate.planned).days),
                )
                for gate in gates
            ),
            ticks=_ticks(origin, low, high),
            low=low,
            high=high,
        )


def days_of(days: Fraction) -> str:
    """A share with its sign, as days: +2, −1½ as −1.5, 0."""
    value = float(days)
    text = number_format(abs(round(value, 2)), decimal_pos=None if value == int(value) else 2)
    text = text.removesuffix(".0") if value == int(value) else text
    sign = "+" if value > 0 else "−" if value < 0 else ""
    return ngettext("%(days)s day", "%(days)s days", 1 if abs(value) == 1 else 2) % {"days": f"{sign}{text}"}


def moved_words(days: int) -> str:
    if not days:
        return _("on the same day")
    if days > 0:
        return ngettext("%(n)s day later", "%(n)s days later", days) % {"n": days}
    return ngettext("%(n)s day sooner", "%(n)s days sooner", -days) % {"n": -days}


def _day(day: date) -> str:
    return f"{on_day(day)} {day.year}"


def _span(begin: date, end: date) -> str:
    return f"{on_day(begin)} – {_day(end)}"


def _ticks(origin: date, low: float, high: float) -> tuple[Tick, ...]:
    """A strong mark at each first of a month, a small one at each Monday."""
    found = []
    for number in range(int(low), int(high) + 1):
        day = origin + timedelta(days=number)
        if day.day == 1:
            found.append(Tick(float(number), date_format(day, pgettext("date format", "M Y")), strong=True))
        elif day.weekday() == 0:
            words = date_format(day, pgettext("date format", "j M")) if high - low < 100 else ""
            found.append(Tick(float(number), words))
    return tuple(found)
