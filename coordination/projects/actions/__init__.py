"""The verbs of facts and plans. Accepting a change lives with the gates that it may reopen."""

from coordination.projects.actions.calendars import set_calendar
from coordination.projects.actions.days import set_task_dates
from coordination.projects.actions.facts import (
    AuthorityInput,
    answer_question,
    derive_again,
    enter_facts,
    set_authority,
)
from coordination.projects.actions.position import say_where_it_is
from coordination.projects.actions.rules import lay_down_rules, withdraw_rules
from coordination.projects.fact_values import FactInput

__all__ = [
    "AuthorityInput",
    "FactInput",
    "answer_question",
    "derive_again",
    "enter_facts",
    "lay_down_rules",
    "say_where_it_is",
    "set_authority",
    "set_calendar",
    "set_task_dates",
    "withdraw_rules",
]
