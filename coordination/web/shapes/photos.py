"""Photos and documents that were handed in, as figures; a copy that is still being made asks again by itself."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from coordination.background.models import Lease
from coordination.evidence.mark_words import drawn, frozen, line_of, reason_of
from coordination.evidence.models import Evidence, Rendition
from coordination.evidence.outcomes import Item, StandingMark
from coordination.pictures.marks import overlay
from coordination.web.texts import on_day

SMALL, LARGE = 320, 1600
SIZES = {"small": SMALL, "large": LARGE}
FIRST_PAUSE, LONGEST_PAUSE = 1, 30


@dataclass(frozen=True)
class MarkLine:
    """A mark in words: ``line`` with its place, ``reason`` as a refusal says it; whether a refusal names it."""

    uid: UUID
    number: int
    line: str
    reason: str
    by: str
    at: datetime
    is_reason: bool


@dataclass(frozen=True)
class Figure:
    """A picture for components/photo.html. ``poll`` is where to ask again, ``pause`` after how many seconds.

    ``href`` is the photo's own page, ``large`` its larger copy, ``overlay`` the marks as a drawing over either copy.
    """

    uid: UUID
    alt: str
    caption: str
    src: str
    width: int | None
    height: int | None
    href: str
    taken: datetime | None
    by: str
    state: str
    poll: str = ""
    pause: int = FIRST_PAUSE
    failed: str = ""
    hints: tuple[str, ...] = ()
    large: str = ""
    marks: tuple[MarkLine, ...] = ()
    overlay: SafeString | str = ""

    @property
    def words(self) -> str:
        """The alternative text: what it shows, then every mark."""
        if not self.marks:
            return self.alt
        told = "; ".join(mark.line for mark in self.marks)
        return _("%(photo)s. Marks: %(marks)s") % {"photo": self.alt, "marks": told}

    @property
    def gives_reasons(self) -> bool:
        """Whether a refusal names one of its marks."""
        return any(mark.is_reason for mark in self.marks)


@dataclass(frozen=True)
class Paper:
    """A document that is no picture: it is fetched, not shown. ``note`` says what the reader gets of it."""

    uid: UUID
    name: str
    href: str
    by: str
    state: str
    note: str = ""


def figures(
    items: Iterable[Item], alt: str, hints: Mapping[int, tuple[str, ...]] | None = None
) -> list[Figure]:
    """The pictures among ``items``, oldest first; ``hints`` by the evidence's own key, see ``shapes.hints``."""
    told = hints or {}
    pictures = [item for item in items if is_picture(item.evidence)]
    given_up = given_up_on([item.evidence for item in pictures if SMALL not in item.renditions])
    return [
        figure(
            item.evidence,
            item.renditions.get(SMALL),
            alt,
            state=state_of(item),
            failed=given_up,
            hints=told.get(item.evidence.pk, ()),
            marks=item.marks,
        )
        for item in pictures
    ]


def papers(items: Iterable[Item], notes: Mapping[int, str]) -> list[Paper]:
    """The files among ``items`` that are no pictures; ``notes`` by the file's own key, see ``shapes.given_papers``."""
    return [
        Paper(
            item.evidence.uid,
            paper_words(item.evidence),
            reverse("media", args=[item.evidence.uid, "original"]),
            by_whom(item.evidence),
            state_of(item),
            notes.get(item.evidence.blob.pk, ""),
        )
        for item in items
        if item.evidence.blob is not None and not is_picture(item.evidence)
    ]


def figure(
    row: Evidence,
    small: Rendition | None,
    alt: str,
    *,
    state: str = "",
    failed: frozenset[int] = frozenset(),
    turn: int = 0,
    hints: tuple[str, ...] = (),
    marks: Sequence[StandingMark] = (),
) -> Figure:
    """One picture; without its small copy yet, a place for it that asks again after a growing pause."""
    lost = row.pk in failed and small is None
    waits = small is None and not lost
    address = reverse("media-figure", args=[row.uid])
    return Figure(
        uid=row.uid,
        alt=alt,
        caption=" · ".join(filter(None, [number_words(row), row.note])),
        src=reverse("media", args=[row.uid, "small"]) if small else "",
        width=small.width if small else None,
        height=small.height if small else None,
        href=reverse("photo", args=[row.uid]) if small else "",
        taken=row.taken_at,
        by=by_whom(row),
        state=state,
        poll=f"{address}?turn={turn + 1}" if waits else "",
        pause=min(FIRST_PAUSE + turn, LONGEST_PAUSE),
        failed=_("The photo is stored, but no small copy could be made of it.") if lost else "",
        hints=hints,
        large=reverse("media", args=[row.uid, "large"]) if small else "",
        marks=tuple(mark_line(mark) for mark in marks),
        overlay=overlay_of(row.uid, marks),
    )


def overlay_of(photo: UUID, marks: Sequence[StandingMark]) -> SafeString | str:
    """The marks as a drawing over a photo; empty where there are none."""
    if not marks:
        return ""
    return mark_safe(overlay([drawn(frozen(mark.row)) for mark in marks], prefix=f"m{photo.hex}"))


def mark_line(mark: StandingMark) -> MarkLine:
    """One mark, in words."""
    row, told = mark.row, frozen(mark.row)
    return MarkLine(row.uid, row.number, line_of(told), reason_of(told), row.by_name, row.at, mark.is_reason)


def number_words(row: Evidence) -> str:
    """Number or revision, and date, that stand on a paper; empty where none does."""
    if not row.number:
        return on_day(row.dated) if row.dated else ""
    if row.dated is None:
        return _("no. %(number)s") % {"number": row.number}
    return _("no. %(number)s of %(day)s") % {"number": row.number, "day": on_day(row.dated)}


def paper_words(row: Evidence) -> str:
    """What a paper is called: its file, and what stands on it."""
    return ", ".join(filter(None, [row.file_name or _("document"), number_words(row)]))


def is_picture(row: Evidence) -> bool:
    return row.blob is not None and row.blob.media_type.startswith("image/")


def given_up_on(rows: Sequence[Evidence]) -> frozenset[int]:
    """Own keys of those whose copies nobody tries to make any more. No query where nothing is missing."""
    if not rows:
        return frozenset()
    keys = [str(row.pk) for row in rows]
    given_up = Lease.objects.filter(kind="renditions", key__in=keys, due__isnull=True, until__isnull=True)
    return frozenset(int(key) for key in given_up.values_list("key", flat=True))


def state_of(item: Item) -> str:
    """The newest word on one piece of evidence."""
    if item.evidence.withdrawn_at is not None:
        return "withdrawn"
    if item.superseded:
        return "superseded"
    return item.review.outcome if item.review else "handed in"


def by_whom(row: Evidence) -> str:
    """Who entered it, and for whom and on whose word, where it was not their own."""
    words = row.sender_name
    if row.entered_for:
        told = {"name": row.sender_name, "company": row.entered_for, "source": row.entry_source}
        words = _("entered by %(name)s for %(company)s (%(source)s)") % told
    if row.taken_by and row.taken_by != row.sender_name:
        return _("%(words)s; taken by %(who)s") % {"words": words, "who": row.taken_by}
    return words
