"""What lies in a folder so far, and what could not be laid."""

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Lacking:
    """Something that could not be laid: the name it would have had, what it is, and why."""

    name: str
    what: str
    why: str


@dataclass
class Laid:
    """What lies in the sink so far: names by SHA-256 of originals and copies, of papers by place, and what lacks.

    ``given_as`` says by SHA-256 of a document how strangers get it.
    """

    originals: dict[str, str] = field(default_factory=dict)
    given_as: dict[str, str] = field(default_factory=dict)
    copies: dict[str, str] = field(default_factory=dict)
    sheets: dict[str, str] = field(default_factory=dict)
    reports: dict[str, str] = field(default_factory=dict)
    final: str = ""
    drawing: str = ""
    lacking: list[Lacking] = field(default_factory=list)
