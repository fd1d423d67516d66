"""What stands on a trade sheet, and the list of the sheets."""

from dataclasses import dataclass

from django.utils.safestring import SafeString

from coordination.handover.let_go import LetGo


@dataclass(frozen=True)
class Asked:
    """One thing a task must show. ``source`` is its number among the sheet's sources, 0 where it has none."""

    kind: str
    text: str
    tolerance: str
    stand: str
    authorised: bool
    lift_critical: bool
    looked_at: str
    source: int


@dataclass(frozen=True)
class Work:
    """One task of the sheet. ``holds`` says which of the project's own hold points stand before it or wait for it."""

    name: str
    first_line: str
    days: str
    provisional: bool
    asked: tuple[Asked, ...]
    source: str
    holds: tuple[str, ...] = ()


@dataclass(frozen=True)
class TradeSheet:
    """Everything on one sheet. ``drawing`` is for a screen, ``svg`` for a paper; both empty where a place has none."""

    trade: str
    slug: str
    trade_name: str
    company: str
    phone: str
    place: str
    place_name: str
    works: tuple[Work, ...]
    dimensions: tuple[tuple[str, str, str], ...]
    cautions: tuple[str, ...]
    open_questions: tuple[str, ...]
    sources: tuple[str, ...]
    drawing: SafeString
    svg: bytes
    alt: str
    let_go: tuple[LetGo, ...] = ()

    @property
    def lines(self) -> float:
        """About how many lines of a page it takes."""
        asked = sum(len(item.text + item.stand) / 52 + 1.4 for work in self.works for item in work.asked)
        works = sum(3.2 + len(work.first_line) / 62 + 1.4 * len(work.holds) for work in self.works)
        drawing = max(24 if self.svg else 0, len(self.dimensions) * 1.5)
        return (
            12
            + drawing
            + (asked + works) / 2
            + sum(1 + len(c) / 110 for c in self.cautions)
            + len(self.sources) / 1.6
            + sum(4 + len(row.reason + row.scope + row.found) / 110 for row in self.let_go)
        )


@dataclass(frozen=True)
class SheetLine:
    """One line of the list."""

    place: str
    place_name: str
    tasks: tuple[str, ...]


@dataclass(frozen=True)
class TradeGroup:
    """The sheets of one trade."""

    slug: str
    name: str
    company: str
    lines: tuple[SheetLine, ...]


def slug_of(trade: str) -> str:
    """A trade as part of an address."""
    return trade.replace(" ", "-")
