"""Pictures from cameras: what they say of themselves, what may be shown of them, how good they look.

Pure functions over bytes or paths; no database. A picture that cannot be taken raises ``ImageRefused`` with one of
``REASONS``.
"""

from coordination.files.images.hints import Measures, concerns, measure, measured_lightly
from coordination.files.images.inspection import ImageFacts, inspect_image
from coordination.files.images.likeness import ALIKE_UP_TO, distance
from coordination.files.images.refusals import REASONS, ImageRefused
from coordination.files.images.renditions import make_renditions

__all__ = [
    "ALIKE_UP_TO",
    "REASONS",
    "ImageFacts",
    "ImageRefused",
    "Measures",
    "concerns",
    "distance",
    "inspect_image",
    "make_renditions",
    "measure",
    "measured_lightly",
]
