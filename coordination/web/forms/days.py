"""Days that people set for a task beside the derived ones."""

from datetime import date
from typing import Any

from django import forms
from django.utils.text import slugify
from django.utils.translation import gettext_lazy as _

from coordination.dates.queries import DatedPlan
from coordination.projects.actions.days import MOST_DAYS
from coordination.projects.models import Task
from coordination.web.forms.base import DayField, SheetForm


class TaskDaysForm(SheetForm):
    """What is left empty is taken back: the derived day or duration counts again."""

    done_by = DayField(label=_("Done by"), required=False)
    not_before = DayField(label=_("Not before"), required=False)
    own_duration = forms.IntegerField(
        label=_("Working days it takes"), required=False, min_value=1, max_value=MOST_DAYS
    )

    @property
    def days(self) -> dict[str, Any]:
        """What is to be set."""
        return dict(self.cleaned_data)


class BegunTaskForm(TaskDaysForm):
    """Work under way: the days still to do, kept as the days it takes in all, so that they run down by themselves."""

    not_before = None  # type: ignore[assignment]
    own_duration = None  # type: ignore[assignment]
    remaining = forms.IntegerField(
        label=_("Working days still to do"), min_value=1, max_value=MOST_DAYS, required=False
    )

    def __init__(self, *args: Any, worked: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.worked = worked

    @property
    def days(self) -> dict[str, Any]:
        still = self.cleaned_data["remaining"]
        days: dict[str, Any] = {"done_by": self.cleaned_data["done_by"]}
        if still is None or still != self.initial["remaining"]:
            days["own_duration"] = None if still is None else self.worked + still
        return days


def days_form(task: Task, dated: DatedPlan, today: date, data: Any = None) -> TaskDaysForm:
    """The form of one task, with what stands."""
    auto_id = f"id_{task.uid}_%s"
    if task.begun_on is None or task.finished_on is not None or task.key not in dated.tasks:
        standing = {name: getattr(task, name) for name in TaskDaysForm.base_fields}
        return TaskDaysForm(data, initial=standing, auto_id=auto_id)
    worked = max(0, dated.schedule.network.calendars[task.derived["calendar"]].count(task.begun_on, today))
    takes = task.derived["duration"]["likely"] if task.own_duration is None else task.own_duration
    standing = {"done_by": task.done_by, "remaining": max(1, takes - worked)}
    return BegunTaskForm(data, initial=standing, auto_id=auto_id, worked=worked)


class PackageDayForm(SheetForm):
    """The day by which a package is to be done; left empty, it is taken back."""

    done_by = DayField(label=_("The whole package done by"), required=False)


def package_form(key: str, done_by: date | None) -> PackageDayForm:
    """The form of one package, with what stands."""
    return PackageDayForm(initial={"done_by": done_by}, auto_id=f"id_{slugify(key)}_%s")
