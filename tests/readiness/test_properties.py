"""Over many projects: accepting one more thing never makes anything less ready, and order changes nothing."""

from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coordination.readiness import STATES, Standing, assess
from tests.readiness.standings import improvements, projects

SETTINGS = settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
GATE_STATES = ("held", "ready to clear", "cleared")


@SETTINGS
@given(projects())
def test_accepting_one_more_thing_never_makes_something_less_ready(project):
    before = assess(project)
    for better in improvements(project):
        after = assess(better)
        for key, task in before.tasks.items():
            gained = after.tasks[key]
            assert gained.may_start >= task.may_start or gained.satisfied
            assert gained.satisfied >= task.satisfied
            assert len(gained.start_missing) <= len(task.start_missing) or not gained.may_start
            assert not (task.state == "ready" and gained.state == "held")
        for key, gate in before.gates.items():
            assert GATE_STATES.index(after.gates[key].state) >= GATE_STATES.index(gate.state)


@SETTINGS
@given(projects(), st.randoms(use_true_random=False))
def test_the_order_of_the_input_changes_nothing(project, random):
    def shuffled(items):
        return tuple(random.sample(items, len(items)))

    tasks = tuple(replace(task, requirements=shuffled(task.requirements)) for task in shuffled(project.tasks))
    gates = tuple(replace(gate, conditions=shuffled(gate.conditions)) for gate in shuffled(project.gates))
    other = Standing(tasks, shuffled(project.links), gates, project.parties)
    one, two = assess(project), assess(other)
    assert (one.tasks, one.places) == (two.tasks, two.places)
    assert {k: (g.state, set(g.missing)) for k, g in one.gates.items()} == {
        k: (g.state, set(g.missing)) for k, g in two.gates.items()
    }


@SETTINGS
@given(projects())
def test_what_may_start_lacks_nothing_and_what_is_held_says_why(project):
    found = assess(project)
    for task in found.tasks.values():
        assert task.state in STATES
        assert not (task.may_start and task.start_missing)
        assert task.state != "held" or task.start_missing
        assert not (task.may_offer and task.offer_missing)
    for gate in found.gates.values():
        assert (gate.state == "held") == bool(gate.missing)


@SETTINGS
@given(projects())
def test_nothing_that_covers_may_start_over_work_that_is_not_satisfied(project):
    found = assess(project)
    for link in project.links:
        if link.before in found.tasks and link.after in found.tasks:
            before, after = found.tasks[link.before], found.tasks[link.after]
            gate = any(gate.task == link.after for gate in project.gates)
            if link.kind == "covers" and after.may_start and not gate:
                assert before.satisfied


@SETTINGS
@given(projects())
def test_a_gate_never_stands_ready_over_an_unmet_condition(project):
    found = assess(project)
    needs = {need.key: need for task in project.tasks if not task.retired for need in task.requirements}
    for gate in project.gates:
        if gate.cleared or found.gates[gate.key].state != "ready to clear":
            continue
        assert gate.plan_settled
        for condition in gate.conditions:
            if condition.kind == "task accepted":
                assert found.tasks[condition.subject].satisfied
            elif condition.kind == "gate cleared":
                assert found.gates[condition.subject].state == "cleared"
            elif condition.kind == "signature":
                assert condition.subject in gate.signed
            elif condition.kind == "question answered":
                assert condition.met is True
            else:
                assert condition.subject in needs
        assert set(gate.signers) <= gate.signed
