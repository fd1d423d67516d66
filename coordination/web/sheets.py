"""The index of sheets in the title block: which pages of a project a visitor may turn to."""

from dataclasses import dataclass

from django.urls import get_resolver, reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from coordination.access.permissions import may
from coordination.access.visitors import Visitor


@dataclass(frozen=True)
class Sheet:
    """``name`` is that of the address; ``within`` are addresses that belong to this sheet.

    ``verb`` is the right, ``or_verb`` another one that is enough.
    """

    name: str
    label: str | Promise
    verb: str
    within: tuple[str, ...] = ()
    or_verb: str = ""


@dataclass(frozen=True)
class SheetLine:
    """One line of the index."""

    label: str
    href: str
    current: bool
    count: int = 0


INDEX = (
    Sheet("project", _("First sheet"), "see the project", ("place",)),
    Sheet("my-tasks", _("My tasks"), "see own tasks", ("my-task",)),
    Sheet("reviews", _("To look at"), "see the project"),
    Sheet("owed", _("Who owes what"), "see the project"),
    Sheet("my-owed", _("What you owe"), "see own tasks"),
    Sheet("packages", _("Packages"), "see the project", ("task", "own-work", "done-by", "done-by-confirm")),
    Sheet("look-ahead", _("Next three weeks"), "see the project", (), "see own tasks"),
    Sheet("trade-sheets", _("Trade sheets"), "see the project", ("trade-sheet",), "see own tasks"),
    Sheet("gates", _("Gates"), "see the project", ("gate", "own-gate", "concessions", "variance", "witness")),
    Sheet("dates", _("Dates"), "see the project", ("what-if", "working-days")),
    Sheet("delay", _("As planned, as built"), "see the project"),
    Sheet("visits", _("Visits"), "see the project", ("visit", "site-ready")),
    Sheet("facts", _("Site facts"), "see the project", ("change", "site-position")),
    Sheet("questions", _("Questions"), "see the project"),
    Sheet("rules", _("Local rules"), "see the project"),
    Sheet("companies", _("Companies and people"), "see the project"),
    Sheet("authorities", _("Authorities"), "see the project", ("inspection",)),
    Sheet("links", _("Links"), "send a link"),
    Sheet("standing", _("Owner’s page"), "see the owner's page"),
    Sheet("handover", _("Handover"), "read reports"),
    Sheet("papers", _("Papers"), "read the papers", ("final-list", "place-evidence", "task-evidence")),
    Sheet("record", _("Record"), "read the record"),
)


def index_for(visitor: Visitor, current: str) -> list[SheetLine]:
    """The sheets that ``visitor`` may see; ``current`` is the name of the address being shown.

    A visitor with a single sheet needs no index.
    """
    lines = [
        SheetLine(
            str(sheet.label),
            reverse(sheet.name, args=[visitor.project.uid]),
            current in (sheet.name, *sheet.within),
        )
        for sheet in INDEX
        if _may(visitor, sheet) and _has_a_page(sheet.name)
    ]
    return lines if len(lines) > 1 else []


def _may(visitor: Visitor, sheet: Sheet) -> bool:
    return any(may(visitor, verb) for verb in (sheet.verb, sheet.or_verb) if verb)


def _has_a_page(name: str) -> bool:
    return name in get_resolver("coordination.web.urls").reverse_dict
