"""Photos on the page of a packed folder: each stands there once, under a number; later mentions lead to the first."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from coordination.handover.behind_walls import Hidden
from coordination.handover.final_list import FinalLine
from coordination.handover.marked import mark_lines, marks_over, with_marks
from coordination.handover.packing.laid import Laid
from coordination.handover.reading import Snapshot


@dataclass(frozen=True)
class Shown:
    """A photo on the page: its copy, the original behind it where it is part of the folder, and its marks.

    ``over`` is the drawing of the marks, ``marks`` says them in words. ``again``: it was shown before.
    """

    number: int
    again: bool
    src: str
    href: str
    what: str
    note: str
    alt: str
    over: SafeString
    marks: tuple[str, ...]
    tall: bool


@dataclass
class Photos:
    """The photos of one page as they are put on it, from its top to its foot."""

    laid: Laid

    def __post_init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def of_line(self, line: FinalLine) -> list[Shown]:
        """Those that show an item of the list."""
        return [
            self._shown(proof.item or {"uid": line.key, "sha256": proof.sha256}, proof.words)
            for proof in line.proofs
            if proof.is_picture and proof.sha256 in self.laid.copies
        ]

    def behind(self, photos: Iterable[Hidden]) -> list[Shown]:
        """Those of work that other work hides."""
        return [
            self._shown(photo.item, f"{photo.work}: {photo.what}", f"{photo.taken} · {photo.hidden_by}")
            for photo in photos
        ]

    def _shown(self, item: Snapshot, what: str, note: str = "") -> Shown:
        rendition, sha = item.get("rendition") or {"width": 0, "height": 0}, item["sha256"] or ""
        key = sha or str(item["uid"])
        again = key in self._numbers
        number = self._numbers.setdefault(key, len(self._numbers) + 1)
        return Shown(
            number=number,
            again=again,
            src=self.laid.copies.get(sha, ""),
            href=self.laid.originals.get(sha, ""),
            what=what,
            note=note,
            alt=with_marks(_("Photo %(number)s: %(what)s") % {"number": number, "what": what}, item),
            over=marks_over(item, f"photo-{number}"),
            marks=mark_lines(item),
            tall=rendition["height"] > rendition["width"],
        )
