"""Work begun before its turn, and what hangs loose in the network, by name."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from django.utils.translation import gettext as _

from coordination.dates.queries import DatedPlan
from coordination.web.shapes.why_words import after_words

NameOf = Callable[[str], str]


@dataclass(frozen=True)
class OrderOfWorkLines:
    """What was begun out of order, the order that counts, and the ends that nothing is tied to."""

    order: str
    out_of_order: tuple[str, ...]
    open_ends: tuple[str, ...]


def order_lines(dated: DatedPlan, name_of: NameOf) -> OrderOfWorkLines:
    """The lines of one project."""
    network = dated.schedule.network
    return OrderOfWorkLines(
        network.order, tuple(_out_of_order(dated, name_of)), tuple(_open_ends(dated, name_of))
    )


def _out_of_order(dated: DatedPlan, name_of: NameOf) -> Iterator[str]:
    for link in dated.schedule.out_of_order:
        told = {"task": name_of(link.after), "turn": after_words(link, name_of)}
        if link.kind in ("FS", "SS"):
            yield _("“%(task)s” has begun; by the plan it comes %(turn)s") % told
        else:
            yield _("“%(task)s” has finished; by the plan it %(turn)s") % told


def _open_ends(dated: DatedPlan, name_of: NameOf) -> Iterator[str]:
    for found in dated.schedule.open_ends:
        told = {"task": name_of(found.key)}
        if found.end == "start":
            yield _("“%(task)s” waits for nothing") % told
        else:
            yield _("nothing waits for “%(task)s”") % told
