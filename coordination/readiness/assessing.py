"""The one function that says what may start, what may pass on and what each gate waits for."""

from collections import defaultdict
from collections.abc import Mapping

from coordination.readiness.answers import STATES, Assessment, GateReadiness, TaskReadiness, TaskState
from coordination.readiness.gates import gate_as_task, gate_readiness
from coordination.readiness.network import Network
from coordination.readiness.standing import GateStanding, Standing, TaskStanding
from coordination.readiness.tasks import readiness_of


def assess(standing: Standing) -> Assessment:
    """Judge a whole project.

    The start guard, the gate list, the drawing, a what-if and the papers all ask this function. The order in which
    tasks, links and gates are given changes nothing. Raises StandingError when the standing contradicts itself.
    """
    network = Network(standing)
    gates = {key: gate_readiness(network.gates[key], network) for key in sorted(network.gates)}
    tasks = {key: _of_task(network.tasks[key], network, gates) for key in sorted(network.tasks)}
    return Assessment(tasks, gates, _places(network, tasks))


def _of_task(task: TaskStanding, network: Network, gates: Mapping[str, GateReadiness]) -> TaskReadiness:
    gate = network.gate_at(task)
    if gate is not None:
        return gate_as_task(gate, gates[gate.key])
    if task.is_gate:
        return gate_as_task(
            GateStanding("", task.key), GateReadiness("held", tuple(network.missing_until_cleared(task)))
        )
    return readiness_of(task, network)


def _places(network: Network, tasks: Mapping[str, TaskReadiness]) -> dict[str, TaskState]:
    """The worst state at each place among the work that is next there.

    Work that only waits its turn behind other work at the same place is left out: otherwise every place would read
    "held" until its last day.
    """
    at: dict[str, list[str]] = defaultdict(list)
    for key, task in network.tasks.items():
        at[task.place].append(key)
    return {place: _worst(keys, tasks) for place, keys in sorted(at.items())}


def _worst(keys: list[str], tasks: Mapping[str, TaskReadiness]) -> TaskState:
    here = set(keys)
    turn = [tasks[key].state for key in keys if not _waits_its_turn(tasks[key], here)]
    return min(turn or [tasks[key].state for key in keys], key=STATES.index)


def _waits_its_turn(task: TaskReadiness, here: set[str]) -> bool:
    return task.state == "held" and all(item.task in here for item in task.start_missing)
