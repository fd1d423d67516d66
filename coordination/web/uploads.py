"""Files on their way into a view: too large ones are dropped while they come, and named."""

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.core.files.uploadhandler import FileUploadHandler, SkipFile
from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt, csrf_protect

View = Callable[..., HttpResponse]


class LeaveOutTooLarge(FileUploadHandler):
    """Stands before the handlers that write: what is over the limit is read off the line and not stored."""

    def __init__(self, request: HttpRequest, limit: int) -> None:
        super().__init__(request)
        self.limit = limit
        self.left_out: list[str] = []

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes:
        if start + len(raw_data) > self.limit:
            self.left_out.append(self.file_name or "")
            raise SkipFile
        return raw_data

    def file_complete(self, file_size: int) -> None:
        return None


def takes_files_up_to(most: Callable[[], int]) -> Callable[[View], View]:
    """Views that take files of at most ``most()`` bytes each; see ``left_out``.

    Handlers can only be changed before the body is read, and the check of the form's token reads it: that check
    is done here, after the handler is in its place.
    """

    def limited(view: View) -> View:
        protected = csrf_protect(view)

        def with_limit(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            if request.method == "POST":
                handler = LeaveOutTooLarge(request, most())
                request.upload_handlers.insert(0, handler)
                request.too_large = handler.left_out  # type: ignore[attr-defined]
            return protected(request, *args, **kwargs)

        with_limit.__name__, with_limit.__doc__ = view.__name__, view.__doc__
        return csrf_exempt(with_limit)

    return limited


takes_files = takes_files_up_to(lambda: settings.UPLOAD_LIMIT)


def left_out(request: HttpRequest) -> list[str]:
    """A sentence for each file that was too large."""
    limit = settings.UPLOAD_LIMIT // 1_000_000
    return [
        _("%(file)s is larger than %(limit)s MB and was not stored. Take the photo at a smaller size.")
        % {"file": name, "limit": limit}
        for name in getattr(request, "too_large", [])
    ]
