"""What a paper is made of, checked; and the same as files in a folder, for another process to make it from."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

Resources = Mapping[str, bytes | Path]
PROFILES = ("pdf/a-3a",)
RELATIONSHIPS = ("Source", "Data", "Alternative", "Supplement", "Unspecified")


class PaperError(Exception):
    """The paper was not made; ``faults`` says everything that was found wrong."""

    def __init__(self, *faults: str) -> None:
        super().__init__("; ".join(faults))
        self.faults = faults


@dataclass(frozen=True)
class Attached:
    """A file that travels inside the PDF. ``relationship`` as in ISO 32000-2, 7.11.3: one of RELATIONSHIPS."""

    name: str
    content: bytes | Path
    media_type: str
    description: str = ""
    relationship: str = "Data"


@dataclass(frozen=True)
class Order:
    """All that decides the bytes of a paper. Raises PaperError when it cannot be one.

    ``resources`` are all the files the HTML may ask for, by the relative name it uses: style sheets, SVG, JPEG, PNG.
    ``identifier`` is the file's own (16 bytes), ``made_at`` an aware time, ``language`` a BCP 47 tag.
    """

    html: str
    resources: Resources
    identifier: bytes
    made_at: datetime
    language: str
    title: str
    profile: str = "pdf/a-3a"
    attachments: Sequence[Attached] = ()

    def __post_init__(self) -> None:
        names = [attached.name for attached in self.attachments]
        contents = [bytes_of(attached.content) for attached in self.attachments]
        faults = {
            f"profile is {self.profile!r}; write {' or '.join(PROFILES)}": self.profile not in PROFILES,
            "identifier must be 16 bytes": len(self.identifier) != 16,
            "made_at must know its time zone": self.made_at.tzinfo is None,
            "a paper needs a title": not self.title.strip(),
            "a paper needs a language": not self.language.strip(),
            "two attachments have the same name": len(set(names)) != len(names),
            # The relationship is found again by the digest of the content, so the content must tell them apart.
            "two attachments have the same content": len(set(contents)) != len(contents),
            f"the relationship of an attachment is one of {', '.join(RELATIONSHIPS)}": any(
                attached.relationship not in RELATIONSHIPS for attached in self.attachments
            ),
        }
        if found := [fault for fault, applies in faults.items() if applies]:
            raise PaperError(*found)


def bytes_of(content: bytes | Path) -> bytes:
    return content if isinstance(content, bytes) else content.read_bytes()


def write_order(order: Order, folder: Path) -> Path:
    """Write ``order`` into ``folder`` and return the job file; files that lie on disk already are only named."""
    html = folder / "paper.html"
    html.write_text(order.html, encoding="utf-8")
    resources = enumerate(sorted(order.resources.items()))
    attachments = enumerate(order.attachments)
    job = {
        "html": str(html),
        "resources": {
            name: _laid_down(content, folder / f"resource-{n}") for n, (name, content) in resources
        },
        "identifier": order.identifier.hex(),
        "made_at": order.made_at.isoformat(),
        "language": order.language,
        "title": order.title,
        "profile": order.profile,
        "attachments": [
            {**vars(attached), "content": _laid_down(attached.content, folder / f"attached-{n}")}
            for n, attached in attachments
        ],
    }
    path = folder / "job.json"
    path.write_text(json.dumps(job, ensure_ascii=False, indent=1), encoding="utf-8")
    return path


def read_order(path: Path) -> Order:
    """Read what ``write_order`` wrote."""
    job: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return Order(
        html=Path(job["html"]).read_text(encoding="utf-8"),
        resources={name: Path(place) for name, place in job["resources"].items()},
        identifier=bytes.fromhex(job["identifier"]),
        made_at=datetime.fromisoformat(job["made_at"]),
        language=job["language"],
        title=job["title"],
        profile=job["profile"],
        attachments=[
            Attached(**{**words, "content": Path(words["content"])}) for words in job["attachments"]
        ],
    )


def _laid_down(content: bytes | Path, place: Path) -> str:
    if isinstance(content, Path):
        return str(content.resolve())
    place.write_bytes(content)
    return str(place)
