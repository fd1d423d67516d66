"""The verbs of access: who comes in, as what, and through which link."""

from coordination.access.actions.calendars import (
    calendar_of_company,
    calendar_of_visits,
    take_back_calendar,
    take_dates_along,
)
from coordination.access.actions.languages import choose_language
from coordination.access.actions.links import open_link, revoke_link, send_link, spend_link
from coordination.access.actions.members import add_member, assign_company, end_membership
from coordination.access.actions.projects import open_project
from coordination.access.actions.reaching import set_reach
from coordination.access.actions.signing_in import ask_for_sign_in, send_sign_in_link
from coordination.access.actions.suppliers import add_company, add_person, found_supplier, introduce_company

__all__ = [
    "add_company",
    "add_member",
    "add_person",
    "ask_for_sign_in",
    "assign_company",
    "calendar_of_company",
    "calendar_of_visits",
    "choose_language",
    "end_membership",
    "found_supplier",
    "introduce_company",
    "open_link",
    "open_project",
    "revoke_link",
    "send_link",
    "send_sign_in_link",
    "set_reach",
    "spend_link",
    "take_back_calendar",
    "take_dates_along",
]
