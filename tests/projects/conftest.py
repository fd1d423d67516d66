"""A project whose derivation the test chooses, and the short way through its actions."""

import uuid
from collections.abc import Callable
from typing import Any

import pytest

from coordination.access.deciding import deciding
from coordination.projects import deriving
from coordination.projects.actions import FactInput, enter_facts
from coordination.projects.applying import Applied, apply_change
from coordination.projects.models import PlanChange
from coordination.siteprep.plan import Plan
from tests.standing_cast import AT, Cast, gather


@pytest.fixture
def cast(db: None) -> Cast:
    return gather()


class Derivation:
    """What the next derivation gives, and how often one was asked for."""

    def __init__(self) -> None:
        self.plan: Plan | None = None
        self.count = 0

    def __call__(self, facts: Any) -> Plan:
        self.count += 1
        assert self.plan is not None
        return self.plan


@pytest.fixture
def derivation(monkeypatch: pytest.MonkeyPatch) -> Derivation:
    """Says what siteprep answers. The real catalogue is met in test_whole_job.py."""
    found = Derivation()
    monkeypatch.setattr(deriving, "plan_of", found)
    return found


def accept(cast: Cast, change: PlanChange) -> Applied:
    """What gates' accept_change does on this floor."""
    with deciding(cast.project, cast.visitor("coordinator"), AT) as pen:
        return apply_change(cast.project, change, pen.write("plan accepted", subject="plan", body={}))


def lay(cast: Cast, derivation: Derivation, plan: Plan) -> PlanChange | None:
    """Lay ``plan`` beside the standing one, by way of a fact that somebody new stated."""
    derivation.plan = plan
    said = FactInput(typed='18"', said_by=f"engineer {uuid.uuid4()}")
    return enter_facts(cast.project, cast.visitor("coordinator"), AT, {"pit.sump_recess": said})


@pytest.fixture
def stands(cast: Cast, derivation: Derivation) -> Callable[[Plan], Applied]:
    """Make a plan the standing one."""

    def make_stand(plan: Plan) -> Applied:
        change = lay(cast, derivation, plan)
        assert change is not None
        return accept(cast, change)

    return make_stand
