"""The forms of the screens. What they share is in ``base``."""

from coordination.web.forms.base import DayField, LengthField, PhotosField, SheetForm

__all__ = ["DayField", "LengthField", "PhotosField", "SheetForm"]
