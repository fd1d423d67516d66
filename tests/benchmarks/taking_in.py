"""All that intake does with one photo, and in a process of its own (``python -m``) what memory that takes."""

import sys
from pathlib import Path
from uuid import uuid4


def taken_in(photo: Path, *, hints: bool = True) -> None:
    """In the request, then in the background; ``hints``: also measured for what its sender is told at once."""
    from coordination.files.images import inspect_image, make_renditions, measure
    from coordination.files.keeping import arriving, keep, path_of, verify
    from coordination.files.measuring import keep_measures

    supplier = uuid4()
    with photo.open("rb") as upload, arriving(supplier, upload) as arrival:
        data = arrival.path.read_bytes()
        facts = inspect_image(data)
        measures = measure(data) if hints else None
        del data
        blob = arrival.keep(facts.media_type)
        if measures:
            keep_measures(blob, measures)
    verify(blob)
    for copy in make_renditions(path_of(blob)).values():
        inspect_image(copy)
        keep(supplier, copy, media_type="image/jpeg")


def peak() -> int:
    """Megabytes that this process has held at most.

    Not from getrusage: there a process inherits what its parent held when it was started.
    """
    told = Path("/proc/self/status").read_text(encoding="ascii")
    return int(told.partition("VmHWM:")[2].split()[0]) // 1024


if __name__ == "__main__":
    import django

    django.setup()
    from coordination.files import measuring  # noqa: F401  what is loaded once does not belong to the photo

    before = peak()
    taken_in(Path(sys.argv[1]))
    sys.stdout.write(f"{before} {peak()}\n")
