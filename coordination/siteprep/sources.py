"""Where rules and figures come from, each with its status and with whom to confirm it."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, cast

from coordination.siteprep.toml_tables import CATALOGUE_FOLDER, Table, read_toml

Status = Literal["code", "practice", "drawing", "memory"]
STATUSES: tuple[Status, ...] = ("code", "practice", "drawing", "memory")


@dataclass(frozen=True)
class Source:
    """A document and clause; ``confirm_with`` is a role or authority, "" where the text itself was read."""

    document: str
    clause: str
    status: Status
    confirm_with: str = ""

    def __str__(self) -> str:
        return f"{self.document} {self.clause}".strip()


def read_sources(file: str, content: Mapping[str, object]) -> dict[str, Source]:
    """Return the sources in a TOML table of tables. Raises CatalogueError."""
    found = {}
    for key, entry in content.items():
        table = Table(file, f"source {key}", entry if isinstance(entry, dict) else {})
        found[key] = Source(
            document=table.word("document"),
            clause=table.word("clause", ""),
            status=cast(Status, table.word("status", among=STATUSES)),
            confirm_with=table.word("confirm", ""),
        )
        if found[key].status == "memory" and not found[key].confirm_with:
            raise table.error("confirm", "what rests on memory must say with whom to confirm it")
        table.done()
    return found


@lru_cache(maxsize=1)
def own_sources() -> Mapping[str, Source]:
    """Return the sources of ``catalogue/sources.toml`` by key."""
    return read_sources("sources.toml", read_toml(CATALOGUE_FOLDER / "sources.toml")["source"])
