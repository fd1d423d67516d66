"""What strangers get of a PDF: looked at once, in a process with limits, made again where it was lost."""

import os
import subprocess
import sys
import zlib
from datetime import timedelta
from pathlib import Path
from uuid import UUID

import pikepdf
import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from coordination.files import pdf_apart
from coordination.files.for_strangers import PDF, Given, copied_again, given_of, given_of_all, look_at
from coordination.files.keeping import OriginalLost, keep, path_of, verify
from coordination.files.letting_go import let_go, unclaimed
from coordination.files.models import Blob, PaperForStrangers
from coordination.files.pdf_apart import copied_apart
from coordination.files.pdf_copies import NotCopied, for_strangers
from tests.files.scans import NAMED, all_bytes_of, photo_with_position, plain_photo, saved, scanned, signed

ONE = UUID("11111111-1111-4111-8111-111111111111")
pytestmark = pytest.mark.django_db


def kept(content: bytes) -> Blob:
    return keep(ONE, content, media_type=PDF)


def test_it_is_looked_at_once_and_the_copy_is_kept_like_an_original() -> None:
    original = kept(scanned())
    assert given_of(original) is None
    found = look_at(original)
    assert found.blob is not None
    assert (found.how, look_at(original), given_of(original)) == ("stripped", found, found)
    verify(found.blob)
    assert path_of(found.blob).read_bytes() == for_strangers(path_of(original).read_bytes()).content
    assert NAMED.findall(all_bytes_of(path_of(found.blob).read_bytes())) == []
    assert PaperForStrangers.objects.count() == 1


def test_a_signed_one_goes_itself_or_a_copy_without_its_signature_where_it_tells() -> None:
    plain, telling, other = (
        kept(signed(plain_photo())),
        kept(signed(photo_with_position())),
        kept(b"%PDF-1.4"),
    )
    assert look_at(plain) == Given(plain, "signed")
    given = look_at(telling)
    assert (given.how, given.is_copy) == ("unsigned", True)
    assert NAMED.findall(all_bytes_of(path_of(given.blob).read_bytes())) == []
    assert look_at(other) == Given(None, "unreadable")
    assert given_of_all([plain, telling]) == {plain.pk: look_at(plain), telling.pk: look_at(telling)}


def test_an_altered_original_is_not_looked_at() -> None:
    original = kept(scanned())
    path = path_of(original)
    path.chmod(0o640)
    path.write_bytes(b"altered")
    with pytest.raises(OriginalLost):
        look_at(original)
    assert PaperForStrangers.objects.count() == 0


def test_there_is_a_copy_exactly_where_one_was_made() -> None:
    original = kept(scanned())
    for how, copy in (("stripped", None), ("unsigned", None), ("locked", original)):
        with pytest.raises(IntegrityError), transaction.atomic():
            PaperForStrangers.objects.create(blob=original, how=how, copy=copy)


# ---- lost and made again
def test_a_lost_copy_is_made_again_as_the_same_bytes() -> None:
    original = kept(scanned())
    copy = look_at(original).blob
    assert copy is not None
    before = path_of(copy).read_bytes()
    path_of(copy).unlink()
    assert (copied_again(copy), path_of(copy).read_bytes()) == (True, before)
    assert copied_again(original) is False


def test_where_other_bytes_are_written_now_they_are_the_copy(monkeypatch: pytest.MonkeyPatch) -> None:
    original = kept(scanned())
    copy = look_at(original).blob
    assert copy is not None
    path_of(copy).unlink()

    def newer(_original: Path, target: Path) -> str:
        target.write_bytes(b"%PDF-1.7 written by a newer version")
        return "stripped"

    monkeypatch.setattr("coordination.files.for_strangers.copied_apart", newer)
    assert copied_again(copy)
    found = given_of(original)
    assert found is not None
    assert found.blob not in {copy, None}


def test_a_copy_goes_when_its_original_goes() -> None:
    original = kept(scanned())
    copy = look_at(original).blob
    assert copy is not None
    then = timezone.now() - timedelta(days=10)
    for blob in (original, copy):
        Blob.objects.filter(pk=blob.pk).update(created=then)
        os.utime(path_of(blob), (then.timestamp(), then.timestamp()))
    late = then + timedelta(seconds=1)
    assert unclaimed(late) == [str(original.pk)]  # the copy is claimed by what was found out of its original
    assert let_go(str(original.pk), late)
    assert unclaimed(late) == [str(copy.pk)]
    assert let_go(str(copy.pk), late)
    assert not Blob.objects.exists()


# ---- limits
def bomb(megabytes: int) -> bytes:
    """So much of nothing in one stream of a page, a thousandth of it packed."""
    packer = zlib.compressobj(9)
    packed = b"".join(packer.compress(b"0" * 1_000_000) for _ in range(megabytes)) + packer.flush()
    pdf = pikepdf.new()
    content = pikepdf.Stream(pdf, b"")
    content.write(packed, filter=pikepdf.Name.FlateDecode)
    pdf.add_blank_page().Contents = pdf.make_indirect(content)
    return saved(pdf)


def test_a_bomb_takes_down_nothing(tmp_path: Path) -> None:
    (tmp_path / "bomb.pdf").write_bytes(bomb(4000))
    with pytest.raises(NotCopied) as fault:
        copied_apart(tmp_path / "bomb.pdf", tmp_path / "copy.pdf")
    assert (fault.value.reason, (tmp_path / "copy.pdf").exists()) == ("too much", False)


LIMITED = """
import sys
from pathlib import Path
from coordination.files import pdf_apart
pdf_apart.{limit} = {value}
pdf_apart._within_limits()
sys.stdout.write(pdf_apart.main(Path({given!r}), Path({copy!r})))
"""


@pytest.mark.parametrize(
    ("limit", "value", "ends"),
    [
        ("SECONDS", 0, "killed"),
        ("MEMORY", 60_000_000, "too much"),
        ("LARGEST", 100, "killed"),
        ("SECONDS", 60, "stripped"),
    ],
)
def test_each_limit_holds(tmp_path: Path, limit: str, value: int, ends: str) -> None:
    """The same program on a paper of 50 MB, with a limit that is too low for it, and with one that is not."""
    given, copy = tmp_path / "a.pdf", tmp_path / "b.pdf"
    given.write_bytes(bomb(50))
    program = LIMITED.format(limit=limit, value=value, given=str(given), copy=str(copy))
    root = Path(pdf_apart.__file__).resolve().parents[2]
    answer = subprocess.run(
        [sys.executable, "-c", program], cwd=root, capture_output=True, text=True, check=False
    )
    assert ("killed" if answer.returncode else answer.stdout) == ends
