"""What strangers get of a PDF that was handed in: worked out once in the background, kept like an original."""

import tempfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from coordination.files.keeping import keep, path_of, verify
from coordination.files.models import Blob, PaperForStrangers
from coordination.files.pdf_apart import COPIES, LARGEST, SIGNED, copied_apart
from coordination.files.pdf_copies import NotCopied

PDF = "application/pdf"


@dataclass(frozen=True)
class Given:
    """``blob`` is what strangers get, None where they get nothing; ``how`` as in ``PaperForStrangers``."""

    blob: Blob | None
    how: str

    @property
    def is_copy(self) -> bool:
        return self.how in COPIES


def given_of(blob: Blob) -> Given | None:
    """None until it was looked at: that is no work for whoever asks for a page."""
    return given_of_all([blob]).get(blob.pk)


def given_of_all(blobs: Iterable[Blob]) -> dict[int, Given]:
    """By key of the original, of those that were looked at already. One query."""
    originals = {blob.pk: blob for blob in blobs}
    rows = PaperForStrangers.objects.filter(blob__in=originals).select_related("copy")
    return {row.blob_id: _given(originals[row.blob_id], row) for row in rows}


def look_at(blob: Blob) -> Given:
    """Worked out now where it was not yet; the original is read back first. Raises OriginalLost, NotKept."""
    row = PaperForStrangers.objects.filter(blob=blob).select_related("copy").first()
    if row is None:
        how, copy = _worked_out(blob)
        row, _made = PaperForStrangers.objects.get_or_create(blob=blob, defaults={"how": how, "copy": copy})
    return _given(blob, row)


def copied_again(copy: Blob) -> bool:
    """Make a lost copy again from its whole original; whether it was one and is there. Raises OriginalLost, NotKept.

    Where another version of the reader writes other bytes, those are the copy from now on.
    """
    rows = PaperForStrangers.objects.filter(copy=copy).select_related("blob")
    made = [(row, _worked_out(row.blob)) for row in rows]
    for row, (how, again) in made:
        PaperForStrangers.objects.filter(pk=row.pk).update(how=how, copy=again)
    return bool(made) and all(again is not None for _row, (_how, again) in made)


def _given(blob: Blob, row: PaperForStrangers) -> Given:
    return Given(blob if row.how == SIGNED else row.copy, row.how)


def _worked_out(blob: Blob) -> tuple[str, Blob | None]:
    verify(blob)
    with tempfile.TemporaryDirectory(prefix="paper-") as folder:
        made = Path(folder) / "copy.pdf"
        try:
            how = copied_apart(path_of(blob), made)
        except NotCopied as fault:
            return fault.reason, None
        if how not in COPIES:
            return how, None
        with made.open("rb") as file:
            return how, keep(blob.supplier, file, media_type=PDF, limit=LARGEST)
