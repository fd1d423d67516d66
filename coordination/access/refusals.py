"""What a person is told when something cannot be done. Nothing was changed then."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True)
class Reason:
    """Why not, as a key of a sentence and what the sentence is about."""

    key: str
    args: Mapping[str, Any] = field(default_factory=dict)

    def __hash__(self) -> int:
        return hash((self.key, *sorted(map(str, self.args.items()))))


class Refusal(Exception):
    """Something asked for that cannot be done. ``reasons`` names all of it; the shells make sentences of them."""

    def __init__(self, *reasons: Any) -> None:
        super().__init__(*reasons)
        self.reasons: tuple[Any, ...] = reasons


class CannotBeSo(Refusal):
    """An input that cannot be so: each Reason says which, and what would be right."""


class NotVisible(Exception):
    """There is nothing here for whoever asks. Deliberately without a reason: a stranger learns nothing."""


class NoLongerStanding(Refusal):
    """The visitor's membership ended, or the link was revoked, since the page was opened."""


class CannotLeave(Refusal):
    """The membership cannot end: the project would be without a coordinator."""


class LinkRefused(Refusal):
    """A link that opens nothing. Its subclasses say why."""


class LinkUnknown(LinkRefused):
    """No link has this token."""


class LinkExpired(LinkRefused):
    """The link's time is over."""


class LinkRevoked(LinkRefused):
    """The link was taken back."""


class LinkUsed(LinkRefused):
    """A link that works once has worked."""


class TooManyAttempts(Refusal):
    """Asked too often from one address or for one account; the Reason says for how many minutes to wait."""
