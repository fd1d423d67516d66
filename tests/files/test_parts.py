"""Files in parts: what came stays, the rest goes behind it, and only the announced bytes are handed on."""

import hashlib
import os
import uuid
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest

from coordination.files import parts
from coordination.files.keeping import NoRoom, TooLarge
from coordination.files.parts import NotWhole, OffsetMoved, append, arrived, drop, sweep_parts, whole

KEY, BO, AL = uuid.UUID(int=7), "b" * 32, "a" * 32
PHOTO = bytes(range(256)) * 40
SHA = hashlib.sha256(PHOTO).hexdigest()


def pieces(data: bytes, size: int = 100) -> Iterator[bytes]:
    for at in range(0, len(data), size):
        yield data[at : at + size]


def broken(data: bytes) -> Iterator[bytes]:
    yield data
    raise ConnectionResetError


def test_a_part_that_breaks_off_is_half_there_and_the_rest_goes_behind_it():
    with pytest.raises(ConnectionResetError):
        append(BO, KEY, 0, broken(PHOTO[:3000]), limit=20_000)
    assert arrived(BO, KEY) == 3000
    assert append(BO, KEY, 3000, pieces(PHOTO[3000:]), limit=20_000) == len(PHOTO)
    with whole(BO, KEY, SHA) as path:
        assert path.read_bytes() == PHOTO
    drop(BO, KEY)
    assert arrived(BO, KEY) == 0


@pytest.mark.parametrize("offset", [0, 2999, 3001])
def test_a_part_for_another_place_changes_nothing_and_says_what_is_there(offset):
    append(BO, KEY, 0, [PHOTO[:3000]], limit=20_000)
    with pytest.raises(OffsetMoved) as moved:
        append(BO, KEY, offset, [b"x" * 10], limit=20_000)
    assert (moved.value.offset, arrived(BO, KEY)) == (3000, 3000)


def test_the_sender_that_is_behind_stops_where_the_other_went_on():
    append(BO, KEY, 0, [PHOTO[:100]], limit=20_000)

    def slow() -> Iterator[bytes]:
        yield PHOTO[100:200]
        append(BO, KEY, 200, [PHOTO[200:400]], limit=20_000)
        yield PHOTO[200:300]

    with pytest.raises(OffsetMoved) as moved:
        append(BO, KEY, 100, slow(), limit=20_000)
    assert moved.value.offset == 400
    with whole(BO, KEY, hashlib.sha256(PHOTO[:400]).hexdigest()):
        pass


def test_nobody_reaches_into_what_another_sends():
    append(BO, KEY, 0, [PHOTO], limit=20_000)
    assert arrived(AL, KEY) == 0
    with pytest.raises(NotWhole), whole(AL, KEY, SHA):
        pass


def test_other_bytes_than_announced_are_removed():
    append(BO, KEY, 0, [PHOTO[:-1] + b"?"], limit=20_000)
    with pytest.raises(NotWhole), whole(BO, KEY, SHA):
        pass
    assert arrived(BO, KEY) == 0


def test_what_is_over_the_limit_is_not_taken():
    append(BO, KEY, 0, [PHOTO[:900]], limit=1000)
    with pytest.raises(TooLarge):
        append(BO, KEY, 900, [PHOTO[900:1001]], limit=1000)
    assert arrived(BO, KEY) == 900


def test_one_holder_cannot_fill_the_disk_with_halves(monkeypatch):
    monkeypatch.setattr(parts, "MOST_FOR_ONE_HOLDER", 1000)
    append(BO, KEY, 0, [PHOTO[:2000]], limit=20_000)
    with pytest.raises(NoRoom):
        append(BO, uuid.UUID(int=8), 0, [b"x"], limit=20_000)
    append(AL, uuid.UUID(int=8), 0, [b"x"], limit=20_000)


def test_what_nobody_goes_on_with_is_swept(settings):
    append(BO, KEY, 0, [PHOTO], limit=20_000)
    append(AL, KEY, 0, [PHOTO], limit=20_000)
    old = datetime(2026, 3, 1, tzinfo=UTC)
    folder = settings.FILE_UPLOAD_TEMP_DIR / "parts"
    os.utime(folder / BO / str(KEY), (old.timestamp(), old.timestamp()))
    assert sweep_parts(old + timedelta(days=1)) == 1
    assert (arrived(BO, KEY), arrived(AL, KEY)) == (0, len(PHOTO))
    assert [path.name for path in folder.iterdir()] == [AL]
