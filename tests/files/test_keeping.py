"""Originals are whole or absent, whatever happens on the way."""

import errno
import hashlib
import io
import os
import subprocess
import sys
import threading
from pathlib import Path
from uuid import UUID

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, connection, transaction

from coordination.files import keeping
from coordination.files.keeping import (
    NoRoom,
    NotReadBack,
    OriginalLost,
    TooLarge,
    arriving,
    keep,
    open_blob,
    path_of,
    sweep,
    verify,
)
from coordination.files.models import Blob

ONE = UUID("11111111-1111-4111-8111-111111111111")
OTHER = UUID("22222222-2222-4222-8222-222222222222")
BYTES = bytes(range(256)) * 9000
SHA = hashlib.sha256(BYTES).hexdigest()

db = pytest.mark.django_db


def files_under(root: Path) -> list[str]:
    return sorted(str(path.relative_to(root)) for path in root.rglob("*") if path.is_file())


@pytest.fixture
def root(settings) -> Path:
    return Path(settings.FILES_ROOT)


@db
@pytest.mark.parametrize(
    "form",
    [
        lambda: BYTES,
        lambda: io.BytesIO(BYTES),
        lambda: SimpleUploadedFile("../../etc/x.jpg", BYTES),
        lambda: (BYTES[at : at + 999] for at in range(0, len(BYTES), 999)),
    ],
    ids=["bytes", "stream", "upload", "pieces"],
)
def test_bytes_come_back_as_they_came(root, form):
    blob = keep(ONE, form(), media_type="image/jpeg")
    assert (blob.supplier, blob.sha256, blob.size, blob.media_type) == (ONE, SHA, len(BYTES), "image/jpeg")
    assert blob.created is not None
    assert files_under(root) == [f"{ONE}/{SHA[:2]}/{SHA}"]
    with open_blob(blob) as file:
        assert file.read() == BYTES
    verify(blob)


@db
def test_same_bytes_twice_are_stored_once(root):
    first = keep(ONE, BYTES, media_type="image/jpeg")
    before = path_of(first).stat()
    second = keep(ONE, BYTES, media_type="application/pdf")
    assert first == second
    assert second.media_type == "image/jpeg"
    after = path_of(first).stat()
    assert (before.st_ino, before.st_mtime_ns <= after.st_mtime_ns) == (after.st_ino, True)
    assert len(files_under(root)) == Blob.objects.count() == 1


@db
def test_suppliers_share_neither_row_nor_file(root):
    blobs = [keep(supplier, BYTES, media_type="image/jpeg") for supplier in (ONE, OTHER)]
    assert blobs[0].pk != blobs[1].pk
    assert files_under(root) == [f"{ONE}/{SHA[:2]}/{SHA}", f"{OTHER}/{SHA[:2]}/{SHA}"]


@db
def test_an_original_cannot_be_written_to_by_its_name():
    assert path_of(keep(ONE, BYTES, media_type="image/jpeg")).stat().st_mode & 0o777 == 0o440


@db
@pytest.mark.parametrize(("limit", "fits"), [(len(BYTES), True), (len(BYTES) - 1, False)])
def test_limit_holds_to_the_byte(root, limit, fits):
    if fits:
        assert keep(ONE, BYTES, media_type="image/jpeg", limit=limit).size == limit
        return
    with pytest.raises(TooLarge) as refusal:
        keep(ONE, BYTES, media_type="image/jpeg", limit=limit)
    assert refusal.value.limit == limit
    assert files_under(root) == []
    assert Blob.objects.count() == 0


@db
def test_a_stream_without_end_is_cut_at_the_limit(root):
    def for_ever():
        while True:
            yield bytes(1 << 20)

    with pytest.raises(TooLarge):
        keep(ONE, for_ever(), media_type="image/jpeg", limit=5_000_000)
    assert files_under(root) == []


@db
def test_a_broken_connection_leaves_nothing(root):
    def breaks():
        yield BYTES
        raise ConnectionResetError("gone")

    with pytest.raises(ConnectionResetError):
        keep(ONE, breaks(), media_type="image/jpeg")
    assert files_under(root) == []


@db
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EDQUOT])
@pytest.mark.parametrize("call", ["write", "fsync", "replace"])
def test_a_full_disk_at_any_step_leaves_nothing(root, monkeypatch, number, call):
    def full(*_):
        raise OSError(number, os.strerror(number))

    with monkeypatch.context() as patch:
        patch.setattr(keeping.os, call, full)
        with pytest.raises(NoRoom):
            keep(ONE, BYTES, media_type="image/jpeg")
    assert files_under(root) == []
    assert Blob.objects.count() == 0
    verify(keep(ONE, BYTES, media_type="image/jpeg"))


@db
def test_a_disk_that_fills_after_half_the_bytes_leaves_nothing(root, monkeypatch):
    write, written = os.write, []

    def half(handle, piece):
        if sum(written) > len(BYTES) // 2:
            raise OSError(errno.ENOSPC, "full")
        written.append(write(handle, bytes(piece[:100_000])))
        return written[-1]

    monkeypatch.setattr(keeping.os, "write", half)
    with pytest.raises(NoRoom):
        keep(ONE, BYTES, media_type="image/jpeg")
    assert files_under(root) == []


@db
def test_short_writes_are_continued(monkeypatch):
    write = os.write
    monkeypatch.setattr(keeping.os, "write", lambda handle, piece: write(handle, bytes(piece[:70_001])))
    verify(keep(ONE, BYTES, media_type="image/jpeg"))


@db
def test_a_disk_that_gives_back_other_bytes_is_noticed(root, monkeypatch):
    write = os.write

    def rots(handle, piece):
        write(handle, bytes([piece[0] ^ 1]) + bytes(piece[1:]))
        return len(piece)

    monkeypatch.setattr(keeping.os, "write", rots)
    with pytest.raises(NotReadBack):
        keep(ONE, BYTES, media_type="image/jpeg")
    assert files_under(root) == []


@db
def test_what_is_looked_at_and_not_kept_is_gone(root):
    with arriving(ONE, BYTES) as arrival:
        assert arrival.path.read_bytes() == BYTES
        assert (arrival.sha256, arrival.size) == (SHA, len(BYTES))
    assert files_under(root) == []


@db
@pytest.mark.parametrize("how", ["missing", "altered"])
def test_a_lost_original_is_told_and_healed_by_the_same_bytes(how):
    blob = keep(ONE, BYTES, media_type="image/jpeg")
    path_of(blob).unlink()
    if how == "altered":
        path_of(blob).write_bytes(BYTES[:-1] + b"x")
    with pytest.raises(OriginalLost) as loss:
        verify(blob)
    assert (loss.value.blob, loss.value.how) == (blob, how)
    assert keep(ONE, BYTES, media_type="image/jpeg") == blob
    verify(blob)


@db
def test_opening_a_missing_original_says_so():
    blob = keep(ONE, BYTES, media_type="image/jpeg")
    path_of(blob).unlink()
    with pytest.raises(OriginalLost, match="missing"):
        open_blob(blob)


@db
def test_sweeping_spares_a_living_writer_and_removes_a_dead_ones_file(root):
    with arriving(ONE, BYTES) as arrival:
        dead = arrival.path.with_name("dead.part")
        dead.write_bytes(b"half")
        assert sweep() == 1
        assert files_under(root) == [str(arrival.path.relative_to(root))]
        arrival.keep("image/jpeg")
    assert sweep() == 0
    assert files_under(root) == [f"{ONE}/{SHA[:2]}/{SHA}"]


@db
@pytest.mark.parametrize(
    "wrong", [{"sha256": "abc", "size": 1}, {"sha256": SHA, "size": -1}], ids=["short hash", "negative size"]
)
def test_the_database_itself_refuses_an_impossible_row(wrong):
    with pytest.raises(IntegrityError), transaction.atomic():
        Blob.objects.create(supplier=ONE, media_type="image/jpeg", **wrong)


def test_two_at_once_store_the_same_bytes_once(real_database, root):
    barrier, kept, faults = threading.Barrier(4), [], []

    def hand_in():
        try:
            with arriving(ONE, BYTES) as arrival:
                barrier.wait()
                kept.append(arrival.keep("image/jpeg").pk)
        except Exception as fault:
            faults.append(fault)
        finally:
            connection.close()

    threads = [threading.Thread(target=hand_in) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert faults == []
    assert len(set(kept)) == 1
    assert files_under(root) == [f"{ONE}/{SHA[:2]}/{SHA}"]
    verify(Blob.objects.get())


def test_killed_at_every_line_of_storing(sqlite_template, tmp_path):
    """kill -9 at the n-th line that storing executes, for every n: nothing half-written under an original's name."""
    answer = subprocess.run(
        [sys.executable, str(Path(__file__).with_name("killed_while_keeping.py")), str(sqlite_template)],
        env={
            **os.environ,
            "SILL_VAR": str(tmp_path / "var"),
            "DJANGO_SETTINGS_MODULE": "coordination.settings",
        },
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert (answer.returncode, answer.stderr) == (0, "")
    killed, survived, left_behind, already_stored = (int(word) for word in answer.stdout.split())
    assert killed > 40
    assert survived == 1
    # The test would prove nothing if no kill had come in time to leave something behind, or late enough to store.
    assert left_behind > 10
    assert already_stored > 2
