"""Days that people set for a task beside the derived ones."""

from datetime import date

from django import forms
from django.utils.text import slugify
from django.utils.translation import gettext_lazy as _

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


def days_form(task: Task, data: object = None) -> TaskDaysForm:
    """The form of one task, with what stands."""
    standing = {name: getattr(task, name) for name in TaskDaysForm.base_fields}
    return TaskDaysForm(data, initial=standing, auto_id=f"id_{task.uid}_%s")  # type: ignore[arg-type]


class PackageDayForm(SheetForm):
    """The day by which a package is to be done; left empty, it is taken back."""

    done_by = DayField(label=_("The whole package done by"), required=False)


def package_form(key: str, done_by: date | None) -> PackageDayForm:
    """The form of one package, with what stands."""
    return PackageDayForm(initial={"done_by": done_by}, auto_id=f"id_{slugify(key)}_%s")
