"""Where work is, in words, from its key alone: it may be of an earlier gate, and not in the snapshot itself."""

from coordination.handover.reading import Reader, Snapshot


def place_words(snapshot: Snapshot, key: str, reader: Reader) -> str:
    """The name of the place of ``task@place`` or ``task@place#requirement``; empty where the snapshot has none."""
    place = place_of(snapshot, key)
    return next((reader.text(each["text"]) for each in snapshot["places"] if each["key"] == place), "")


def place_of(snapshot: Snapshot, key: str) -> str:
    """The key of the place: the task's own where it is here, else as its key says."""
    task = key.partition("#")[0]
    here = next((each["place"] for each in snapshot["tasks"] if each["key"] == task), None)
    return here or task.partition("@")[2]


def work_words(snapshot: Snapshot, key: str, reader: Reader, named: str = "") -> str:
    """The work of ``key`` and its place, as far as the snapshot has words for them; ``named`` where it has not."""
    task = key.partition("#")[0]
    here = next((reader.text(each["text"]) for each in snapshot["tasks"] if each["key"] == task), named)
    return ", ".join(filter(None, (here, place_words(snapshot, key, reader))))
