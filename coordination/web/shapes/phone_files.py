"""The files that every sheet of the phone needs, by their versioned addresses."""

from collections.abc import Iterator

from django.conf import settings
from django.templatetags.static import static

LARGE = {"img/first-sheet.png"}


def has_queue() -> bool:
    """Whether the phone's own store can be offered: its library was there when the server started."""
    return any(isinstance(folder, tuple) and folder[0] == "idb" for folder in settings.STATICFILES_DIRS)


def phone_files() -> list[str]:
    """What the worker keeps: style, script, marks, the library of the store, htmx."""
    return [static(name) for name in (*sorted(_own()), *_libraries())]


def _own() -> Iterator[str]:
    root = settings.BASE_DIR / "static"
    for folder in ("css", "js", "img"):
        for path in (root / folder).iterdir():
            name = f"{folder}/{path.name}"
            if path.is_file() and name not in LARGE | {"js/worker.js"}:
                yield name


def _libraries() -> list[str]:
    return ["django_htmx/htmx-2.min.js", *(["idb/index.js"] if has_queue() else [])]
