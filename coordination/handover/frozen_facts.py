"""Facts as a frozen site holds them, for conditions of the catalogue."""

from dataclasses import dataclass
from functools import cached_property

from coordination.handover.whole import Whole


@dataclass(frozen=True)
class FrozenFacts:
    """What a condition reads: values of facts, None while unknown."""

    whole: Whole

    @cached_property
    def _values(self) -> dict[str, object]:
        stated = {fact["key"]: fact["value"] for fact in self.whole["facts"] if fact["state"] != "unknown"}
        return {"job.code_set": self.whole["project"]["code_set"], **stated}

    @property
    def landings(self) -> tuple[str, ...]:
        found = self._values.get("landings")
        return tuple(str(key) for key in found) if isinstance(found, list) else ()

    def value(self, key: str) -> object:
        return self._values.get(key)
