"""What a phone sends from its own store: files in parts, then what they are for; a begun or finished task.

Everything carries the key of its sender: what somebody else left on the phone is held, never taken under another name.
The names of the headers follow the IETF draft on resumable uploads (Upload-Offset, Upload-Length).
"""

from collections.abc import Iterator
from contextlib import ExitStack
from datetime import datetime, timedelta
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import BadRequest
from django.core.files.uploadedfile import UploadedFile
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.http.request import UnreadablePostError
from django.utils import timezone
from django.utils.datastructures import MultiValueDict
from django.utils.dateparse import parse_datetime
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from coordination.access.visitors import Visitor
from coordination.files import parts
from coordination.files.keeping import NoRoom, TooLarge
from coordination.gates import actions
from coordination.gates.queries import look_at
from coordination.web.for_its_sender import again, for_its_sender, refused
from coordination.web.handing_in import Handed, hand_in_posted
from coordination.web.senders import sender_of
from coordination.web.shapes.needs import need_of
from coordination.web.shapes.task_sheets import company_entered_for
from coordination.web.views.task_pages import card_answer, seen_task
from coordination.web.views.tasks import FormRefused, for_other, taking_over

PIECE = 1 << 16
SILENCE = 30


@require_http_methods(["GET", "PATCH"])
@never_cache
@for_its_sender
def file(request: HttpRequest, visitor: Visitor, key: UUID) -> HttpResponse:
    """GET: how many bytes of a file are there. PATCH: the next ones."""
    holder = sender_of(visitor)
    if request.method == "GET":
        return _there(parts.arrived(holder, key))
    offset = request.headers.get("Upload-Offset", "")
    if not (offset.isascii() and offset.isdigit()):
        raise BadRequest("Upload-Offset says where the part begins.")
    try:
        return _there(parts.append(holder, key, int(offset), _pieces(request), limit=settings.UPLOAD_LIMIT))
    except parts.OffsetMoved as moved:
        return _there(moved.offset, status=412)
    except TooLarge:
        return refused(_too_large())
    except (UnreadablePostError, ConnectionError):
        return again(400)
    except NoRoom:
        return again(507)


@require_POST
@never_cache
@for_its_sender
def evidence(request: HttpRequest, visitor: Visitor, requirement: UUID) -> HttpResponse:
    """What was handed in for one requirement, once its files are there."""
    try:
        with ExitStack() as stack:
            files = _files(request, sender_of(visitor), stack)
            return JsonResponse(_handed(request, visitor, requirement, files))
    except parts.NotWhole:
        return again(400)


@require_POST
@never_cache
@for_its_sender
def task(request: HttpRequest, visitor: Visitor, task: UUID, verb: str) -> HttpResponse:
    """A task that was begun, or finished and passed on."""
    now, doing = timezone.now(), {"start": _begun, "offer": _finished}.get(verb)
    if doing is None:
        raise Http404
    told = doing(request, visitor, seen_task(visitor, look_at(visitor.project, now), task).uid, now)
    if request.POST.get("shown"):
        messages.success(request, told)
    return JsonResponse({"state": "stored", "told": told})


def _begun(request: HttpRequest, visitor: Visitor, task: UUID, now: datetime) -> str:
    actions.start_task(
        visitor.project,
        visitor,
        now,
        task,
        taking_over=taking_over(request),
        for_other=for_other(request),
        sent_at=_pressed_at(request, now),
    )
    return _("Begun. Hand in what it must show as you go.")


def _finished(request: HttpRequest, visitor: Visitor, task: UUID, now: datetime) -> str:
    offer = actions.offer_task(
        visitor.project,
        visitor,
        now,
        task,
        note=request.POST.get("note", ""),
        crew_waiting=bool(request.POST.get("crew_waiting")),
        for_other=for_other(request),
        sender_key=_uuid(request.POST.get("key", "")),
        sent_at=_pressed_at(request, now),
    )
    return _("Passed on. The answer is awaited.") if offer else _("Done.")


def _files(request: HttpRequest, holder: str, stack: ExitStack) -> MultiValueDict[str, UploadedFile]:
    """The files that came in parts, as if they had come with the form. Raises NotWhole."""
    files: MultiValueDict[str, UploadedFile] = MultiValueDict()
    for key, sha256, field, name in _announced(request, "upload", "sha256", "field", "file_name"):
        path = stack.enter_context(parts.whole(holder, _uuid(key), sha256))
        content = stack.enter_context(path.open("rb"))
        files.appendlist(field, UploadedFile(content, name=name, size=path.stat().st_size))
    return files


def _announced(request: HttpRequest, *names: str) -> list[tuple[str, ...]]:
    """What the form says of each file, file by file."""
    try:
        return list(zip(*(request.POST.getlist(name) for name in names), strict=True))
    except ValueError:
        raise BadRequest("Each file has its key, hash, field and name.") from None


def _uuid(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError:
        raise BadRequest("A key is a UUID.") from None


def _handed(
    request: HttpRequest, visitor: Visitor, uid: UUID, files: MultiValueDict[str, UploadedFile]
) -> dict[str, object]:
    now = timezone.now()
    scene = look_at(visitor.project, now)
    row = scene.requirement(uid)
    work = seen_task(visitor, scene, scene.holding.task[row.task_id].uid)
    handed = hand_in_posted(
        request,
        visitor,
        need_of(row, scene, visitor),
        row,
        now,
        for_company=None if row.release else company_entered_for(work, scene, visitor),
        files=files,
        sent_at=_pressed_at(request, now),
    )
    stored = _stored(request, handed)
    for key in stored:
        parts.drop(sender_of(visitor), _uuid(key))
    reasons = handed.reasons + (FormRefused(handed.form).sentences if not handed.rows else [])
    told = " ".join([handed.told, *handed.hints]).strip()
    answer = {"told": told, "reasons": reasons, "stored": stored}
    if not handed.rows:
        return {"state": "refused", **answer}
    card = card_answer(request, visitor, uid, Handed(handed.form, rows=handed.rows), mine=True)
    return {"state": "refused" if reasons else "stored", **answer, "part": card.content.decode()}


def _stored(request: HttpRequest, handed: Handed) -> list[str]:
    """The keys of the files that were taken."""
    taken = {row.blob.sha256 for row in handed.rows if row.blob}
    return [key for key, sha256 in _announced(request, "upload", "sha256") if sha256 in taken]


def _pressed_at(request: HttpRequest, now: datetime) -> datetime | None:
    """When the phone says that it was pressed; None where its clock cannot be right."""
    try:
        pressed = parse_datetime(request.POST.get("pressed_at", ""))
    except ValueError:
        return None
    if pressed is None or pressed.tzinfo is None:
        return None
    return pressed if now - timedelta(days=400) < pressed < now + timedelta(days=1) else None


def _pieces(request: HttpRequest) -> Iterator[bytes]:
    """The body as it comes. A phone that fell silent without a word keeps a thread waiting only so long."""
    if line := request.META.get("gunicorn.socket"):
        line.settimeout(SILENCE)
    return iter(lambda: request.read(PIECE), b"")


def _there(offset: int, *, status: int = 200) -> HttpResponse:
    return HttpResponse(status=status, headers={"Upload-Offset": str(offset)})


def _too_large() -> str:
    limit = settings.UPLOAD_LIMIT // 1_000_000
    return _("The file is larger than %(limit)s MB. Take the photo at a smaller size.") % {"limit": limit}
