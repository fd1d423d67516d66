"""The photos of an evidence sheet on a page: a copy with the marks over it."""

from dataclasses import dataclass
from uuid import UUID

from django.urls import reverse
from django.utils.safestring import SafeString

from coordination.handover.evidence_lines import Shot
from coordination.handover.marked import marks_over


@dataclass(frozen=True)
class ShotFigure:
    """A photo of the sheet for components/marked_photo.html. ``own_page``: the visitor may open the photo's own."""

    shot: Shot
    project: UUID
    own_page: bool

    @property
    def alt(self) -> str:
        return self.shot.alt

    @property
    def src(self) -> str:
        return _copy(self.project, self.shot.uid, "small")

    @property
    def href(self) -> str:
        """The photo's own page with its marks, else the larger copy."""
        large = _copy(self.project, self.shot.uid, "large")
        return reverse("photo", args=[self.shot.uid]) if self.own_page else large

    @property
    def overlay(self) -> SafeString:
        return marks_over(self.shot.item, f"m{self.shot.uid}")

    @property
    def width(self) -> int:
        width: int = self.shot.item["rendition"]["width"]
        return width

    @property
    def height(self) -> int:
        height: int = self.shot.item["rendition"]["height"]
        return height


def _copy(project: UUID, evidence: str, size: str) -> str:
    return reverse("evidence-copy", args=[project, evidence, size])
