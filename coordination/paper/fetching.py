"""The only way in for files: by names that were handed over. Anything else stops the rendering.

Import it only when a paper is made: it loads WeasyPrint.
"""

from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path
from urllib.parse import unquote

from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

# Never asked for over a network: ``.invalid`` exists nowhere (RFC 2606 §2).
BASE = "https://paper.invalid/"
MEDIA_TYPES = {
    ".css": "text/css",
    ".svg": "image/svg+xml",
    ".jpg": "image/jpeg",
    ".jpeg": "image/jpeg",
    ".png": "image/png",
    ".ttf": "font/ttf",
    ".otf": "font/otf",
}


class FromDisk(URLFetcherResponse):
    """An answer whose content lies on disk: WeasyPrint then reads a photo again when it writes it, and holds none."""

    def __init__(self, url: str, path: Path, media_type: str) -> None:
        super().__init__(url, path.read_bytes(), {"Content-Type": media_type})
        self._on_disk = path

    @property
    def path(self) -> str:
        return str(self._on_disk)


class OnlyByName(URLFetcher):
    """Answers the names in ``resources``, the fonts under ``fonts/`` and the sheet ``paper/sheet.css``."""

    def __init__(self, resources: Mapping[str, bytes | Path], media_types: Mapping[str, str]) -> None:
        super().__init__(allowed_protocols=["https"], allow_redirects=False, fail_on_errors=True)
        self._resources = resources
        self._media_types = media_types
        #: What was asked for in vain: some of WeasyPrint's own code swallows even a fatal error.
        self.refused: list[str] = []

    def fetch(self, url: str, headers: object = None) -> URLFetcherResponse:
        name = unquote(url.removeprefix(BASE)) if url.startswith(BASE) else ""
        content = self._resources.get(name) if name else None
        if content is None:
            content = _own(name)
        if content is None:
            raise self._refusal(f"the paper asks for {url[:200]!r}, which was not handed over")
        media_type = self._media_types.get(name) or MEDIA_TYPES.get(Path(name).suffix.lower())
        if media_type is None:
            raise self._refusal(f"{name!r} has an ending that papers do not use")
        if isinstance(content, Path):
            return FromDisk(url, content, media_type)
        return URLFetcherResponse(url, content, {"Content-Type": media_type})

    def _refusal(self, fault: str) -> FatalURLFetchingError:
        self.refused.append(fault)
        return FatalURLFetchingError(fault)


def _own(name: str) -> bytes | None:
    if name == "paper/sheet.css":
        return Path(__file__).with_name("sheet.css").read_bytes()
    folder, _, file = name.rpartition("/")
    if folder == "fonts" and file.startswith("SourceSansPro-") and file.endswith(".ttf"):
        font = files("font_source_sans_pro") / "files" / file
        return font.read_bytes() if font.is_file() else None
    return None
