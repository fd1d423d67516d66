"""Handing in a result: for which requirement or beside which task, on whose word."""

import uuid
from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coordination.web.forms.base import SheetForm
from coordination.web.shapes.design_needs import DesignNeed, DesignTask


class ResultForm(SheetForm):
    """Which paper a calculation is. The key is made with the page: pressed twice, it is the same paper."""

    key = forms.UUIDField(label=_("Form"), widget=forms.HiddenInput)
    requirement = forms.ChoiceField(
        label=_("For which paper"),
        widget=forms.RadioSelect,
        required=False,
    )
    task = forms.ChoiceField(
        label=_("Or beside a task"),
        required=False,
        help_text=_("It is kept with the task as evidence of its design; nothing is held or released by it."),
    )
    source = forms.CharField(
        label=_("Where the inputs came from"),
        max_length=120,
        required=False,
        help_text=_("The drawing and its revision, a reading, a call. It is recorded with your name."),
    )
    note = forms.CharField(label=_("Note"), max_length=500, required=False)

    def __init__(
        self, *args: Any, needs: Sequence[DesignNeed], tasks: Sequence[DesignTask], **kwargs: Any
    ) -> None:
        super().__init__(*args, initial={"key": uuid.uuid4()}, **kwargs)
        self.needs = {need.value: need for need in needs}
        self.tasks = {str(task.uid): task for task in tasks}
        listed = [(value, task.words) for value, task in self.tasks.items()]
        self.fields["task"].choices = [("", _("none")), *listed]  # type: ignore[attr-defined]
        if not needs:
            del self.fields["requirement"]
            return
        self.fields["requirement"].choices = [(need.value, need.words) for need in needs]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        told: dict[str, Any] = super().clean() or {}
        need = self.needs.get(told.get("requirement", ""))
        if need and need.for_company is not None and not told.get("source"):
            self.add_error("source", _("Say where the inputs came from: the drawing, a reading, a call."))
        task = self.tasks.get(told.get("task", ""))
        if not self.errors and (need is None) == (task is None):
            field = "requirement" if "requirement" in self.fields else "task"
            self.add_error(field, _("Choose the paper that is asked for, or a task: one of them."))
        return {**told, "need": need, "beside": task}
