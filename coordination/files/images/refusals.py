"""Why a picture is not taken, as keys; the pages make the sentences."""

REASONS = (
    "empty",
    "too many bytes",
    "too many pixels",
    "one piece",
    "not a picture",
    "kind not accepted",
    "gif",
    "svg",
    "animated",
    "truncated",
    "damaged",
    "another file inside",
)


class ImageRefused(Exception):
    """A picture cannot be taken. ``reason`` is one of REASONS, ``details`` what the sentence needs (limit, kind)."""

    def __init__(self, reason: str, **details: object) -> None:
        if reason not in REASONS:
            raise ValueError(f"{reason!r} is not a reason for refusing a picture.")
        super().__init__(", ".join([reason, *(f"{key}: {value}" for key, value in details.items())]))
        self.reason = reason
        self.details = details
