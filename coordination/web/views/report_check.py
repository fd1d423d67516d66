"""The public page on which anybody who holds a report checks it: by its code, or by the file itself."""

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from coordination.access.attempts import Limit, count_attempt, refuse_after_too_many
from coordination.handover.checked_words import Told, day_of, of_code, of_file, title_of
from coordination.handover.checking import Checked, Standing, check_file, largest_to_check, standing_of
from coordination.handover.codes import as_code
from coordination.web.network_address import address_of
from coordination.web.uploads import takes_files_up_to

UNKNOWN_CODES = Limit("unknown report codes from an address", 20, 10)
FILES = Limit("files checked from an address", 30, 10)
SHA256 = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True)
class TitleLine:
    """What the paper itself prints on its title."""

    title: str
    project: str
    revision: int
    cleared: str
    code: str


@require_safe
def by_code(request: HttpRequest, code: str) -> HttpResponse:
    """What a code says. Unknown ones are counted, so that nobody tries them all."""
    address, now = address_of(request), timezone.now()
    refuse_after_too_many(UNKNOWN_CODES, address, now)
    standing = standing_of(code)
    if standing is None:
        count_attempt(UNKNOWN_CODES, address, now)
    return _page(request, told=of_code(standing), standing=standing, code=as_code(code) or code[:20])


@takes_files_up_to(largest_to_check)
@require_http_methods(["GET", "HEAD", "POST"])
def check(request: HttpRequest) -> HttpResponse:
    """Ask for a code, or for the file; a file is read and never kept."""
    if request.method == "POST":
        return _of_file(request)
    if typed := request.GET.get("code", "").strip():
        return redirect(
            "report-check", code=as_code(typed) or re.sub(r"[^A-Za-z0-9-]", "", typed)[:20] or "-"
        )
    return _page(request)


def _of_file(request: HttpRequest) -> HttpResponse:
    count_attempt(FILES, address_of(request), timezone.now())
    file = request.FILES.get("file")
    if file is None:
        return _page(request, reasons=_no_file(request), status=422)
    checked = check_file(Path(file.temporary_file_path()))
    browsers = request.POST.get("browser_sha256", "")
    return _page(
        request,
        told=of_file(checked),
        standing=checked.standing,
        checked=checked,
        browser=browsers if SHA256.fullmatch(browsers) else "",
        file_name=file.name,
    )


def _no_file(request: HttpRequest) -> list[str]:
    too_large = _(
        "%(file)s is larger than %(limit)s MB, and so than every report that was given out here: it is none."
    )
    limit = largest_to_check() // 1_000_000
    names = getattr(request, "too_large", [])
    return [too_large % {"file": name, "limit": limit} for name in names] or [
        _("Choose the PDF that you want to check.")
    ]


def _page(
    request: HttpRequest,
    *,
    told: Told | None = None,
    standing: Standing | None = None,
    checked: Checked | None = None,
    status: int = 200,
    **context: Any,
) -> HttpResponse:
    context |= {"told": told, "checked": checked, "title_line": _title(standing) if standing else None}
    response = render(request, "report_check/check.html", context, status=status)
    response.headers["Cache-Control"] = "no-store"
    return response


def _title(standing: Standing) -> TitleLine:
    cleared = day_of(standing.cleared_at, standing.zone)
    return TitleLine(title_of(standing), standing.project, standing.round, cleared, standing.code)
