"""Networks from JSON files, refused with every fault in words."""

from collections.abc import Iterator
from contextlib import contextmanager

from coordination.console.answering import read_text
from coordination.console.network_words import sentences
from coordination.console.refused import Refused
from coordination.scheduling.calendars import OutOfHorizon
from coordination.scheduling.network import NetworkError
from coordination.scheduling.network_json import NetworkDocument, read_network


def network_of(name: str) -> NetworkDocument:
    """The network of a file, or of standard input for ``-``. Raises Refused."""
    with network_faults(name):
        return read_network(read_text(name))


@contextmanager
def network_faults(name: str) -> Iterator[None]:
    """Refuse what the scheduling inside finds wrong."""
    try:
        yield
    except NetworkError as error:
        raise Refused(name, sentences(error.problems)) from None
    except OutOfHorizon as error:
        raise Refused(name, [str(error)]) from None
