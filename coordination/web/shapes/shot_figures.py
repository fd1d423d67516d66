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
        """The page on which the visitor sees it large, with its marks."""
        if self.own_page:
            return reverse("photo", args=[self.shot.uid])
        return reverse("evidence-photo", args=[self.project, self.shot.uid])

    @property
    def large(self) -> str:
        return _copy(self.project, self.shot.uid, "large")

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
