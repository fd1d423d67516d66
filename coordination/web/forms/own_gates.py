"""A gate that a project adds: its name, what waits behind it, what it waits for, who signs and clears."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coordination.gates.own_gates import CLEARERS, MOST_NAME, SIGNERS, GateWish
from coordination.web.forms.base import SheetForm
from coordination.web.words import ROLES

Choices = Iterable[tuple[str, Any]]
OF_KINDS = {
    "accepted": "task accepted",
    "satisfied": "requirement satisfied",
    "documents": "document present",
    "answered": "question answered",
    "cleared": "gate cleared",
}


@dataclass(frozen=True)
class Boxes:
    """A long list of boxes: groups with a heading, each of (value, words, ticked)."""

    field: forms.BoundField
    open: bool
    groups: list[tuple[str, list[tuple[str, str, bool]]]]


class Several(forms.MultipleChoiceField):
    """Boxes to tick."""

    widget = forms.CheckboxSelectMultiple


class OwnGateForm(SheetForm):
    """``choices`` gives the boxes of each field by its name."""

    name = forms.CharField(
        label=_("What the gate is called"),
        max_length=MOST_NAME,
        error_messages={"required": _("Give the gate a name.")},
    )
    before = Several(
        label=_("Work that waits behind it"),
        error_messages={"required": _("Say which work must wait behind the gate.")},
    )
    accepted = Several(label=_("Work that must be accepted first"), required=False)
    satisfied = Several(label=_("Readings in tolerance, photos and signatures accepted"), required=False)
    documents = Several(label=_("Documents that must be there"), required=False)
    answered = Several(label=_("Questions that must be answered"), required=False)
    cleared = Several(label=_("Gates that must be cleared"), required=False)
    signers = Several(label=_("Who signs"), required=False, choices=[(role, ROLES[role]) for role in SIGNERS])
    clears = forms.ChoiceField(
        label=_("Who clears it"), choices=[(role, ROLES[role]) for role in CLEARERS], widget=forms.RadioSelect
    )

    def __init__(self, *args: Any, choices: dict[str, Choices], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, offered in choices.items():
            self.fields[name].choices = list(offered)  # type: ignore[attr-defined]

    def folded(self) -> list[Boxes]:
        """The long lists."""
        return [boxes_of(self[name], opened=name == "before") for name in ("before", *OF_KINDS)]

    def wish(self) -> GateWish:
        """What was sent, as the gate that is wished."""
        told = self.cleaned_data
        return GateWish(
            name=told["name"],
            before=tuple(told["before"]),
            conditions=tuple((kind, subject) for name, kind in OF_KINDS.items() for subject in told[name]),
            signers=tuple(told["signers"]),
            clears=told["clears"],
        )


def boxes_of(field: forms.BoundField, *, opened: bool) -> Boxes:
    """The boxes of a field by their groups, shown open where one is ticked or wrong."""
    ticked = set(field.value() or ())
    groups: list[tuple[str, list[tuple[str, str, bool]]]] = []
    for value, words in field.field.choices:  # type: ignore[attr-defined]
        if isinstance(words, list):
            groups.append((str(value), [(each, told, each in ticked) for each, told in words]))
        else:
            if not groups:
                groups.append(("", []))
            groups[0][1].append((value, str(words), value in ticked))
    return Boxes(field, opened or bool(ticked) or bool(field.errors), groups)
