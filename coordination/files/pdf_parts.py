"""The parts of a PDF that lead from its root, and what its streams hold (ISO 32000-1, 7.3 and 7.4)."""

from collections.abc import Iterator

from pypdf import PdfReader
from pypdf.filters import decode_stream_data
from pypdf.generic import (
    ArrayObject,
    DictionaryObject,
    EncodedStreamObject,
    IndirectObject,
    NameObject,
    PdfObject,
    StreamObject,
)

JPEG, JPEG_2000 = {"/DCTDecode", "/DCT"}, {"/JPXDecode"}
PICTURES = JPEG | JPEG_2000


def parts_of(reader: PdfReader) -> Iterator[DictionaryObject | ArrayObject]:
    """Every dictionary, stream and array, once. One may be altered before the next is asked for."""
    waiting, seen = [reader.trailer.raw_get("/Root")], set()
    while waiting:
        one = waiting.pop()
        if isinstance(one, IndirectObject):
            if (one.idnum, one.generation) in seen:
                continue
            seen.add((one.idnum, one.generation))
            one = one.get_object()
        if isinstance(one, DictionaryObject):
            yield one
            waiting.extend(one.values())
        elif isinstance(one, ArrayObject):
            yield one
            waiting.extend(one)


def at(part: DictionaryObject, key: str) -> PdfObject | None:
    """What stands under ``key``, also where it stands elsewhere and is pointed to."""
    return part[key] if key in part else None  # noqa: SIM401  ``get`` does not follow what points elsewhere


def name_at(part: DictionaryObject, key: str) -> str:
    """A name that stands under ``key``; empty where none does."""
    found = at(part, key)
    return str(found) if isinstance(found, NameObject) else ""


def unpacked(part: StreamObject) -> tuple[bytes, list[str]]:
    """The data of a stream, and the filters that are still over it: those of pictures stay, others are taken off.

    Pixels that are packed in no format of pictures are nothing but pixels: they stay packed.
    """
    filters = filters_of(part)
    if filters and filters[-1] in PICTURES:
        return _without_outer(part, filters), filters[-1:]
    if name_at(part, "/Subtype") == "/Image":
        return part._data, []
    return decode_stream_data(part), []


def filters_of(part: StreamObject) -> list[str]:
    found = at(part, "/Filter")
    if found is None:
        return []
    return [str(each.get_object()) for each in (found if isinstance(found, ArrayObject) else [found])]


def repack(part: StreamObject, data: bytes) -> None:
    """Put a picture's ``data`` back under its own filter alone, with the parameters that belong to that."""
    part[NameObject("/Filter")] = NameObject(filters_of(part)[-1])
    told = at(part, "/DecodeParms")
    if isinstance(told, ArrayObject) and told:
        part[NameObject("/DecodeParms")] = told[-1]
    part._data = data


def _without_outer(part: StreamObject, filters: list[str]) -> bytes:
    """Whatever packs before a filter of pictures is taken off."""
    if len(filters) == 1:
        return part._data
    outside, told = EncodedStreamObject(), at(part, "/DecodeParms")
    outside._data = part._data
    outside[NameObject("/Filter")] = ArrayObject([NameObject(name) for name in filters[:-1]])
    if isinstance(told, ArrayObject):
        outside[NameObject("/DecodeParms")] = ArrayObject(told[:-1])
    return decode_stream_data(outside)
