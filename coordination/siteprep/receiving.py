"""What the receiver of a handoff builds on: the requirements of the finished work that it is shown first.

No plan, no terms and no digest reads it: it only says what stands on top.
"""

from collections.abc import Mapping

from coordination.siteprep.entries import TaskEntry


def seen_first(tasks: Mapping[str, TaskEntry], giving: str, receiving: str) -> tuple[str, ...]:
    """Keys of the requirements of entry ``giving`` that matter to entry ``receiving``, in the order of the list.

    Empty where the rules name none: work of people's own, a link that a local file draws without a list.
    """
    entry = tasks.get(receiving)
    links = entry.links if entry else ()
    return next((link.sees for link in links if link.task == giving and link.sees), ())
