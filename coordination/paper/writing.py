"""A PDF written object by object: neither the file nor two of its photos are ever in memory together."""

from hashlib import md5
from typing import Any, BinaryIO

import pydyf


class ObjectByObject(pydyf.PDF):  # type: ignore[misc]  # pydyf has no types
    """Takes its digest from what is written, as it is written.

    pydyf joins all objects once more for the second half of the file's identifier (ISO 32000-2, 14.4): twice the file
    in memory, every photo read and every page compressed again. The digest of the bytes before it serves as well.
    """

    _identifier: bytes
    _digest: Any

    def write(
        self, output: BinaryIO, version: Any = b"1.7", identifier: Any = None, compress: bool = True
    ) -> None:
        self._identifier, self._digest = identifier, md5(usedforsecurity=False)
        super().write(output, version, None, compress)

    def write_line(self, content: bytes, output: BinaryIO) -> None:
        self._digest.update(content)
        super().write_line(content, output)

    def add_object(self, thing: Any) -> None:
        """The table of all objects is the last of them; the identifier stands in it."""
        if isinstance(thing, pydyf.Stream) and thing.extra.get("Type") == "/XRef":
            halves = (self._identifier, self._digest.hexdigest().encode())
            thing.extra["ID"] = pydyf.Array(pydyf.String(half).data for half in halves)
        super().add_object(thing)
