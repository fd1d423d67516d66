"""What a packed folder holds of each place, by elevation: what is behind its walls, and every file of it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.handover.behind_walls import Wall, elevation_of
from coordination.handover.contact_sheets import place_name
from coordination.handover.final_words import FinalWords
from coordination.handover.packing.filing import LEFT_THE_PLAN, SAID, VARIANCES, Filed
from coordination.handover.packing.folder_photos import Photos, Shown
from coordination.handover.packing.laid import Laid


@dataclass(frozen=True)
class Link:
    """A file of the folder; ``href`` is empty where it could not be packed."""

    words: str
    href: str


@dataclass(frozen=True)
class PlaceFiles:
    """What the folder holds of one place. ``counts`` says how much, before anybody opens it."""

    key: str
    name: str
    elevation: str
    counts: str
    sheet: str
    behind: tuple[Shown, ...]
    files: tuple[Link, ...]


def link_to(words: str, sha256: str, laid: Laid) -> Link:
    return Link(words, laid.originals.get(sha256) or laid.copies.get(sha256, ""))


@dataclass
class Places:
    """The places of one folder, from the pit upwards, then the rooms, then what is no place of the building."""

    words: FinalWords
    laid: Laid
    photos: Photos

    def of(self, files: Sequence[Filed]) -> list[PlaceFiles]:
        by_place: dict[str, list[Filed]] = {}
        for file in files:
            by_place.setdefault(file.handed.place, []).append(file)
        walls = {wall.place: wall for wall in self.words.walls}
        found = [
            self._place(key, elevation, by_place.pop(key, []), walls.get(key))
            for key, elevation in self._upwards()
            if key in by_place or key in walls
        ]
        return [*found, *(self._besides(key, listed) for key, listed in by_place.items())]

    def _upwards(self) -> Iterator[tuple[str, str]]:
        """Keys of all places with their elevation in words, the lowest first."""
        whole, reader = self.words.whole, self.words.reader
        places = [(place["key"], *elevation_of(place, whole, reader)) for place in whole["places"]]
        for key, elevation, _order in sorted(places, key=lambda each: each[2]):
            yield key, elevation

    def _place(self, key: str, elevation: str, listed: list[Filed], wall: Wall | None) -> PlaceFiles:
        behind = wall.photos if wall else ()
        return PlaceFiles(
            key,
            wall.name if wall else place_name(self.words.whole, self.words.reader, key),
            elevation,
            _counted(listed, len(behind)),
            self.laid.sheets.get(key, ""),
            tuple(self.photos.behind(behind)),
            self._links(listed),
        )

    def _besides(self, key: str, listed: list[Filed]) -> PlaceFiles:
        """A part of the folder that is no place of the building."""
        names = {
            LEFT_THE_PLAN: _("Work that left the plan"),
            SAID: _("Written down for the list"),
            VARIANCES: _("Authorities’ variances"),
        }
        return PlaceFiles(key, names.get(key, key), "", _counted(listed, 0), "", (), self._links(listed))

    def _links(self, listed: Iterable[Filed]) -> tuple[Link, ...]:
        return tuple(
            link_to(f"{each.handed.work}: {each.handed.what}", each.handed.sha256, self.laid)
            for each in listed
        )


def _counted(listed: Sequence[Filed], behind: int) -> str:
    """How many photos and papers there are, and how many photos show what is hidden now."""
    photos = sum(each.handed.kind == "photo" for each in listed)
    papers = len(listed) - photos
    parts = [
        ngettext("%(n)d photo", "%(n)d photos", photos) % {"n": photos} if photos else "",
        ngettext("%(n)d of hidden work", "%(n)d of hidden work", behind) % {"n": behind} if behind else "",
        ngettext("%(n)d other file", "%(n)d other files", papers) % {"n": papers} if papers else "",
    ]
    return " · ".join(filter(None, parts))
