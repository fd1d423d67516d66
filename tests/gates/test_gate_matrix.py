"""Every kind of condition in every state, and every person who may come: who clears the gate, and what holds it.

The lists are closed: a new kind of condition or role fails here until its states and rights are written down.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Any

import pytest

from coordination.access.models import ROLES
from coordination.access.permissions import NotAllowed
from coordination.access.refusals import NotVisible
from coordination.evidence.models import RESULTS
from coordination.gates import actions
from coordination.gates.models import Clearing
from coordination.gates.own_gates import GateWish
from coordination.gates.refusals import GateNotReady
from coordination.projects.models import Condition, Gate
from coordination.readiness import Outcome
from coordination.record.models import Event
from tests.gates.sites import BACKING, BOARD, JOB, RAILS, Site, build, with_requirement
from tests.gates.test_changes import TIGHTER
from tests.gates.test_inspecting import BOX, JOB_INSPECTED, inspect
from tests.standing_cast import gather

LEFT, SPREAD, CARD = "backing@rail-wall#left", "backing@rail-wall#spread", "rough@pit#inspection"
MET: tuple[str, ...] = ()
GATE = "looked at"


@dataclass(frozen=True)
class State:
    """How a state comes about, and what the gate then misses; nothing where the condition is met."""

    subject: str
    come: Callable[[Site], Any]
    missing: tuple[str, ...] = MET
    plan: str = "plain"


def offered(site: Site) -> Any:
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    return site.offer(BACKING.key, "framer")


def reviewed(site: Site) -> Any:
    offer = offered(site)
    site.review(LEFT, "contractor")
    site.review(SPREAD, "coordinator")
    return offer


def read(site: Site, typed: str) -> None:
    site.start(BACKING.key, "framer")
    site.read(SPREAD, "framer", typed)


def conceded(site: Site, **more: Any) -> None:
    read(site, '32"')
    site.concede(SPREAD, "coordinator", **more)
    site.concede(SPREAD, "contractor", scope="")


def lapsed(site: Site) -> None:
    conceded(site, expires_on=site.at.date() + timedelta(days=1))
    site.step(days=3)


def accepted_reading(site: Site) -> None:
    read(site, '30"')
    site.review(SPREAD, "coordinator")


def tightened(site: Site) -> None:
    accepted_reading(site)
    site.accept(with_requirement(JOB, BACKING.key, TIGHTER))


def carded(site: Site, result: str = "") -> None:
    site.start("rough@pit", "electrician")
    if result:
        inspect(site, result, *([BOX] if result != "passed" else []))
    else:
        site.document(CARD, "contractor")


def taken_back(site: Site) -> None:
    site.start("rough@pit", "electrician")
    site.withdraw(site.document(CARD, "contractor"), "contractor")


def cleared_first(site: Site) -> None:
    site.signed()
    site.clear("close-in")


def reopened_first(site: Site) -> None:
    cleared_first(site)
    site.state("pit.sump", True)
    actions.reopen_moved_gates(site.project, site.step())


def owner_signs(site: Site) -> None:
    site.sign(own(site).key, "owner")


def signed_for_another(site: Site) -> None:
    owner_signs(site)
    site.state("pit.sump", True)


def unsettled(site: Site) -> None:
    site.settle()
    site.lay(replace(JOB, drawing_revision="D"))


def nothing(site: Site) -> None:
    """As the site begins."""


STATES: Mapping[str, Mapping[str, State]] = {
    "task accepted": {
        "not begun": State(BACKING.key, nothing, ("not begun", "not handed in", "not handed in")),
        "at work": State(
            BACKING.key,
            lambda site: site.start(BACKING.key, "framer"),
            ("not finished", "not handed in", "not handed in"),
        ),
        "offered": State(BACKING.key, offered, ("not reviewed", "not reviewed", "handoff not answered")),
        "reviewed": State(BACKING.key, reviewed, ("handoff not answered",)),
        "handoff refused": State(
            BACKING.key,
            lambda site: site.answer(reviewed(site), RAILS.key, "crew", "refused", "too wide"),
            ("not finished", "handoff refused"),
        ),
        "evidence refused": State(
            BACKING.key,
            lambda site: (offered(site), site.review(LEFT, "contractor", "refused", "dark")),
            ("not finished", "refused", "not reviewed"),
        ),
        "accepted": State(BACKING.key, lambda site: site.back()),
        "left the plan": State(
            "sweep@pit",
            lambda site: site.accept(
                replace(JOB, tasks=tuple(each for each in JOB.tasks if each.key != "sweep@pit"))
            ),
            ("not in the plan",),
        ),
    },
    "requirement satisfied": {
        "none": State(SPREAD, nothing, ("not handed in",)),
        "handed in": State(SPREAD, lambda site: read(site, '30"'), ("not reviewed",)),
        "refused": State(
            SPREAD,
            lambda site: (read(site, '30"'), site.review(SPREAD, "coordinator", "refused", "no tape")),
            ("refused",),
        ),
        "out of tolerance": State(SPREAD, lambda site: read(site, '32"'), ("out of tolerance",)),
        "one voice of two": State(
            SPREAD,
            lambda site: (read(site, '32"'), site.concede(SPREAD, "coordinator")),
            ("out of tolerance",),
        ),
        "conceded": State(SPREAD, conceded),
        "concession lapsed": State(SPREAD, lapsed, ("out of tolerance",)),
        "accepted": State(SPREAD, accepted_reading),
        "for other terms": State(SPREAD, tightened, ("not handed in",)),
    },
    "document present": {
        "none": State(CARD, nothing, ("authority document missing",)),
        "accepted": State(CARD, carded),
        "withdrawn": State(CARD, taken_back, ("authority document missing",)),
        "passed": State(CARD, lambda site: carded(site, "passed"), MET, "inspected"),
        "passed with corrections": State(
            CARD,
            lambda site: carded(site, "passed with corrections"),
            ("not begun", "not handed in"),
            "inspected",
        ),
        "failed": State(
            CARD,
            lambda site: carded(site, "failed"),
            ("not begun", "not handed in", "inspection failed"),
            "inspected",
        ),
    },
    "question answered": {
        "unknown": State(
            "pit.sump", lambda site: site.state("pit.sump", None, "unknown"), ("question open",)
        ),
        "assumed": State(
            "pit.sump", lambda site: site.state("pit.sump", False, "assumed"), ("fact only assumed",)
        ),
        "known": State("pit.sump", lambda site: site.settle()),
        "known, plan not settled": State("pit.sump", unsettled, ("plan not settled",)),
    },
    "gate cleared": {
        "held": State("close-in", nothing, ("gate not cleared",)),
        "ready": State("close-in", lambda site: site.signed(), ("gate not cleared",)),
        "cleared": State("close-in", cleared_first),
        "reopened": State("close-in", reopened_first, ("gate not cleared",)),
    },
    "signature": {
        "none": State("owner", nothing, ("signature missing",)),
        "signed": State("owner", owner_signs),
        "signed for another standing": State(
            "owner", signed_for_another, ("signature for another standing",)
        ),
    },
}
# What comes of clearing: the clearer's word counts where nothing is missing; others are refused, or are not here at all.
PEOPLE: Mapping[str, str] = {
    "coordinator": "not allowed",
    "contractor": "clearer",
    "crew": "not allowed",
    "electrician": "not allowed",
    "other electrician": "not allowed",
    "framer": "not allowed",
    "owner": "not allowed",
    "left": "not here",
    "stranger": "not here",
    "another supplier's coordinator": "not here",
    "by link: framer": "not allowed",
    "by link: owner": "not allowed",
    "by link: inspector": "not allowed",
    "by link: expired": "not here",
    "by link: revoked": "not here",
}
CASES = [(kind, state) for kind, states in STATES.items() for state in states]


def own(site: Site) -> Gate:
    return Gate.objects.get(task__project=site.project, task__own=True, task__is_gate=True)


def with_gate(kind: str, state: State) -> Site:
    site = build(derived=JOB_INSPECTED if state.plan == "inspected" else JOB)
    site.step(days=2)
    if kind == "signature":
        site.settle()
        wish = GateWish(GATE, (BOARD.key,), (("question answered", "pit.sump"),), ("owner",))
    else:
        site.state("pit.sump", None, "unknown")
        wish = GateWish(GATE, (BOARD.key,), ((kind, state.subject),))
    site.cast.people["another supplier's coordinator"] = gather("far.").people["coordinator"]
    actions.add_gate(site.project, site.who("contractor"), site.step(), wish)
    state.come(site)
    return site


def outcome(site: Site, name: str, gate: Gate) -> Any:
    """What comes of it when somebody presses "clear"."""
    try:
        cleared = actions.clear_gate(site.project, _visitor(site, name), site.at, gate.uid)
    except NotVisible:
        return "not here"
    except NotAllowed:
        return "not allowed"
    except GateNotReady as held:
        return tuple(sorted(item.kind for item in held.missing))
    return "cleared" if isinstance(cleared, Clearing) else cleared


def _visitor(site: Site, name: str) -> Any:
    cast = site.cast
    if name.startswith("by link: "):
        return cast.by_link(name.removeprefix("by link: "), site.at)
    return cast.visitor(name, site.at)


@pytest.mark.parametrize(("kind", "state"), CASES)
def test_who_clears_a_gate_in_which_state(db: Any, kind: str, state: str) -> None:
    told = STATES[kind][state]
    site = with_gate(kind, told)
    gate = own(site)
    others = [name for name, what in PEOPLE.items() if what != "clearer"]
    before = Event.objects.count()
    assert {name: outcome(site, name, gate) for name in others} == {name: PEOPLE[name] for name in others}
    assert (Event.objects.count(), Clearing.objects.filter(gate=gate).count()) == (before, 0)
    expected = tuple(sorted(told.missing)) or "cleared"
    assert outcome(site, "contractor", gate) == expected
    assert Clearing.objects.filter(gate=gate).count() == (expected == "cleared")


def test_every_kind_every_outcome_and_every_role_has_its_cases() -> None:
    assert set(STATES) == set(Condition.KINDS)
    assert set(STATES["document present"]) >= set(RESULTS)
    outcomes = {"handed in", "accepted", "refused", "none"} | {"failed"}
    assert set(Outcome.__args__) == outcomes
    assert {"none", "handed in", "accepted", "refused"} <= set(STATES["requirement satisfied"])
    roles = {"crew": "lift crew", "electrician": "subcontractor", "by link: inspector": "inspector"}
    assert {roles.get(name, name) for name in PEOPLE} >= set(ROLES)
