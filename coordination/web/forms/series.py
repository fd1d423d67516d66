"""Handing in a series of readings: the cells of a grid, or lines pasted from a spreadsheet, or both."""

from typing import Any

from django import forms
from django.utils.functional import cached_property
from django.utils.translation import gettext_lazy as _

from coordination.evidence.pasting import filled, read_pasted
from coordination.evidence.series import CellFault, ReadSeries, TypedCell, read_cells
from coordination.siteprep.series import Series
from coordination.web.forms.evidence import FORMS, HandInForm, taken_field
from coordination.web.shapes.grids import Grid, grid_of, typed_cells
from coordination.web.shapes.needs import Need
from coordination.web.shapes.series_words import fault_words

ONLY_FILL = "fill"


class SeriesForm(HandInForm):
    """Readings at several places or times. Pasted lines lie over what was typed; ``fill`` only lays them in."""

    pasted = forms.CharField(
        label=_("Paste from a spreadsheet"),
        required=False,
        max_length=20_000,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 4, "autocomplete": "off", "spellcheck": "false"}),
        help_text=_(
            "With its first line and column, in any order; or the readings alone, in the order of the grid."
        ),
    )
    instrument = forms.CharField(
        label=_("Read with"), max_length=120, required=False, help_text=_("Tape, level, meter: which one.")
    )
    taken_at = taken_field()
    field_order = ("key", "terms", "pasted", "instrument", "taken_at")

    def __init__(self, *args: Any, need: Need, **kwargs: Any) -> None:
        super().__init__(*args, need=need, **kwargs)
        if need.series is None:
            raise ValueError("This is asked for as one reading.")
        self.series: Series = need.series
        if need.series.by_day:
            del self.fields["taken_at"]

    def clean(self) -> dict[str, Any]:
        told: dict[str, Any] = super().clean() or {}
        for fault in self.faults:
            self.add_error("pasted", fault_words(self.series, fault))
        if not self.cells:
            self.add_error("pasted", _("Type what was read, or paste it."))
        if ONLY_FILL in self.data and not self.errors:
            self.add_error(None, _("It stands in the grid now. Look at it, then hand it in."))
        return {**told, "cells": self.cells}

    @cached_property
    def cells(self) -> tuple[TypedCell, ...]:
        """Everything that stands in the grid, with what was pasted laid over it."""
        if not self.is_bound:
            return tuple(self.need.entered)
        typed = typed_cells(self.series, self.data)
        return tuple(filled(typed, self._pasted.cells, [mark.key for mark in self.series.rows]))

    @cached_property
    def _pasted(self) -> Any:
        return read_pasted(self.series, self.data.get("pasted", ""))

    @cached_property
    def read(self) -> ReadSeries:
        return read_cells(self.need.limits, self.cells, self.need.system)

    @property
    def faults(self) -> list[CellFault]:
        return [*self._pasted.faults, *self.read.faults]

    @property
    def grid(self) -> Grid:
        """The fields of the grid, for tasks/grid.html."""
        return grid_of(
            self.series, self.need.uid, self.cells, self.read if self.cells else None, self.need.unit
        )

    @property
    def pasted_again(self) -> str:
        """The pasted lines that have no place in the grid: everything else stands in it now."""
        return "\n".join(fault.line for fault in self._pasted.faults) if self.is_bound else ""


ALL_FORMS: dict[str, type[HandInForm]] = {**FORMS, "series": SeriesForm}
