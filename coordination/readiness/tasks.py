"""What may start, what may be offered, and in which state a task is."""

from collections.abc import Iterator

from coordination.readiness.answers import Missing, TaskReadiness, TaskState
from coordination.readiness.network import Network, in_order
from coordination.readiness.requirements import is_satisfied, is_shown, missing_of
from coordination.readiness.standing import LinkStanding, TaskStanding

SENT_BACK = ("refused", "failed")


def readiness_of(task: TaskStanding, network: Network) -> TaskReadiness:
    """One task that is no gate."""
    start = in_order(_missing_for_start(task, network))
    offer = in_order(_missing_for_offer(task, network))
    satisfied = network.satisfied(task)
    return TaskReadiness(
        state=_state(task, network, bool(start), satisfied),
        may_start=not task.begun and not start,
        start_missing=start,
        may_offer=task.begun and not task.finished and not offer,
        offer_missing=offer,
        satisfied=satisfied,
        question_open=task.question_open,
    )


def _missing_for_start(task: TaskStanding, network: Network) -> Iterator[Missing]:
    """FS waits for the finish, SS for the begin, covers for acceptance, a handoff for its answer, a gate for all."""
    for link in network.into[task.key]:
        before = network.tasks[link.before]
        if before.is_gate and link.kind not in {"FF", "SF"}:
            yield from network.missing_until_cleared(before)
        elif link.kind == "covers":
            yield from network.missing_until_satisfied(before, "covers")
        elif link.kind == "FS":
            yield from network.missing_until_finished(before, "FS")
        elif link.kind == "SS" and not before.begun:
            yield network.owed(before, "not begun", "SS")
        yield from network.missing_of_handoff(link, "handoff", finish_named=link.kind in {"FS", "covers"})
        if link.lag_open and link.kind in {"FS", "SS", "covers"}:
            yield network.owed(before, "lag running", link.kind)


def _missing_for_offer(task: TaskStanding, network: Network) -> Iterator[Missing]:
    """The task's own requirements, what FF and SF wait for, and again what it covers: that may have been withdrawn."""
    if not task.begun:
        yield network.owed(task, "not begun", "own")
    for need in task.requirements:
        if not is_shown(need):
            yield missing_of(need, task, network.standing, "own")
    for link in network.into[task.key]:
        yield from _missing_at_finish(link, network)


def _missing_at_finish(link: LinkStanding, network: Network) -> Iterator[Missing]:
    before = network.tasks[link.before]
    if before.is_gate:
        yield from network.missing_until_cleared(before)
    elif link.kind == "covers":
        yield from network.missing_until_satisfied(before, "covers")
    elif link.kind == "FF":
        yield from network.missing_until_finished(before, "FF")
    elif link.kind == "SF" and not before.begun:
        yield network.owed(before, "not begun", "SF")
    yield from network.missing_of_handoff(link, "handoff", finish_named=link.kind in {"FF", "covers"})
    if link.lag_open and link.kind in {"FF", "SF"}:
        yield network.owed(before, "lag running", link.kind)


def _state(task: TaskStanding, network: Network, held: bool, satisfied: bool) -> TaskState:
    if not task.begun:
        return "held" if held else "ready"
    if satisfied:
        return "accepted" if _somebody_accepts(task, network) else "done"
    if _refused(task, network):
        return "refused"
    return "offered" if task.finished else "at work"


def _somebody_accepts(task: TaskStanding, network: Network) -> bool:
    return any(need.accepts or need.release for need in task.requirements) or any(
        link.handoff for link in network.out_of[task.key]
    )


def _refused(task: TaskStanding, network: Network) -> bool:
    return any(need.outcome in SENT_BACK and not is_satisfied(need) for need in task.requirements) or any(
        link.handoff and link.answer == "refused" for link in network.out_of[task.key]
    )
