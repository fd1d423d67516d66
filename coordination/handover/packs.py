"""Packed folders: asked for by a person, frozen at that moment, packed in the background, kept as one ZIP."""

import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from uuid import UUID

from django.conf import settings
from django.db.models import Exists, OuterRef
from django.utils import timezone

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import may, require
from coordination.access.refusals import Reason, Refusal
from coordination.access.visitors import Visitor
from coordination.evidence.models import Evidence, Rendition
from coordination.evidence.renditions import ensure_renditions
from coordination.files.images import ImageRefused
from coordination.files.keeping import OriginalLost, keep
from coordination.files.models import Blob
from coordination.handover.models import Pack
from coordination.handover.packing.laying import Wanted, lay, names_of
from coordination.handover.packing.names import safe
from coordination.handover.packing.sinks import ZipSink
from coordination.handover.papers_wanted import usual_paper
from coordination.handover.sheet_paper import stood_at
from coordination.handover.whole import digest_of, read_whole, text_of, whole_of

KINDS = ("archive", "folder")
TELL_EVERY = 0.5
LARGEST = 100_000_000_000
MOST_COPIES = 20


class NoSuchPapers(Refusal):
    """Papers of a kind that is not packed."""


def ask_for_pack(project: Project, visitor: Visitor, at: datetime, *, kind: str, language: str) -> Pack:
    """Freeze the site as it stands and have it packed; asked for again while nothing changed, it is the same pack.

    Whoever may not see originals of photos gets the variant of copies. Raises NoSuchPapers, NotAllowed.
    """
    require(visitor, "have papers packed")
    if kind not in KINDS:
        raise NoSuchPapers(Reason("no such papers", {"kind": kind}))
    originals, paper = may(visitor, "see photo originals"), usual_paper(project.code_set)
    _make_newest_copies(project)
    with deciding(project, visitor, at) as pen:
        whole = whole_of(project, at)
        told = {"kind": kind, "language": language, "paper": paper, "originals": originals}
        sha = digest_of(whole)
        if found := Pack.objects.filter(project=project, state_sha=sha, **told).first():
            if found.made_at is None or found.blob_id is not None:
                pen.leave_as_it_is()
                return found
            return _pack_again(
                found, pen.write("papers asked for", subject=kind, body={**told, "state": sha}), at
            )
        event = pen.write("papers asked for", subject=kind, body={**told, "state": sha})
        return Pack.objects.create(
            project=project,
            state=text_of(whole).encode(),
            state_sha=sha,
            asked_by=visitor.name,
            asked_at=at,
            event=event,
            **told,
        )


def _make_newest_copies(project: Project) -> None:
    """Copies of what was handed in a moment ago, so that no page of the folder lacks them; the rest is listed."""
    made = Rendition.objects.filter(evidence=OuterRef("pk"))
    rows = Evidence.objects.filter(requirement__task__project=project, blob__media_type__startswith="image/")
    for row in rows.filter(~Exists(made)).select_related("blob").order_by("pk")[:MOST_COPIES]:
        with suppress(ImageRefused, OriginalLost):
            ensure_renditions(row)


def _pack_again(pack: Pack, event: object, at: datetime) -> Pack:
    """One that was let go for a newer one, and whose standing has come back."""
    Pack.objects.filter(pk=pack.pk).update(made_at=None, done=0, total=0, missing=[], asked_at=at)
    pack.refresh_from_db()
    return pack


def packs_to_make(now: datetime) -> Iterator[str]:
    """Uids of packs that were asked for and are not packed: the background work finds itself here."""
    rows = Pack.objects.filter(made_at=None).order_by("asked_at", "pk")
    for uid in rows.values_list("uid", flat=True):
        yield str(uid)


def make_pack(key: str) -> None:
    """Pack one folder. Killed anywhere and done again, there is one file and one event.

    The ZIP is written under a temporary name, and has the same bytes each time.
    """
    pack = Pack.objects.select_related("project__supplier").filter(uid=key, made_at=None).first()
    if pack is None:
        return
    blob, missing = _packed(pack)
    with deciding(pack.project, None, timezone.now()) as pen:
        if not Pack.objects.filter(pk=pack.pk, made_at=None).exists():
            pen.leave_as_it_is()
            return
        pen.write(
            "papers packed",
            subject=pack.kind,
            body={"pack": key, "sha256": blob.sha256, "size": blob.size, "missing": missing},
        )
        Pack.objects.filter(pk=pack.pk).update(
            made_at=pen.at, blob=blob, sha256=blob.sha256, size=blob.size, missing=missing
        )
        _let_older_ones_go(pack)


def packs_of(visitor: Visitor) -> list[Pack]:
    """The newest pack of each kind and language that the visitor may take, without what it was made from."""
    rows = Pack.objects.filter(project=visitor.project, originals=may(visitor, "see photo originals"))
    found: dict[tuple[str, str], Pack] = {}
    for row in rows.defer("state").select_related("blob").order_by("-asked_at", "-pk"):
        found.setdefault((row.kind, row.language), row)
    return list(found.values())


def pack_of(visitor: Visitor, uid: UUID) -> Pack | None:
    """One pack that the visitor may take."""
    rows = Pack.objects.filter(
        project=visitor.project, originals=may(visitor, "see photo originals"), uid=uid
    )
    return rows.defer("state").select_related("blob", "project").first()


def file_name_of(pack: Pack) -> str:
    """What the ZIP is called when it is taken along."""
    return f"{root_of(pack.project, pack.kind)}-{pack.asked_at:%Y-%m-%d}.zip"


def root_of(project: Project, kind: str) -> str:
    """The folder inside the ZIP."""
    return f"{safe(project.name, 60)}-{'originals' if kind == 'archive' else 'handover'}"


def _packed(pack: Pack) -> tuple[Blob, list[dict[str, str]]]:
    whole = read_whole(bytes(pack.state))
    wanted = Wanted(pack.kind, pack.language, pack.paper, pack.originals)
    # One name per pack: what a killed worker left is written over by the next one.
    path = Path(settings.FILE_UPLOAD_TEMP_DIR) / f"pack-{pack.uid}.zip"
    try:
        with ZipSink(path, root_of(pack.project, pack.kind), stood_at(whole)) as sink:
            lacking = lay(whole, sink, wanted, _telling(pack))
        with path.open("rb") as file:
            blob = keep(pack.project.supplier.uid, file, media_type="application/zip", limit=LARGEST)
    finally:
        path.unlink(missing_ok=True)
    return blob, names_of(lacking)


def _telling(pack: Pack) -> Callable[[int, int], None]:
    """How far it is, kept for the page twice a second: no decision, so no event."""
    last = 0.0

    def tell(done: int, total: int) -> None:
        nonlocal last
        if done == total or time.monotonic() - last > TELL_EVERY:
            Pack.objects.filter(pk=pack.pk, made_at=None).update(done=done, total=total)
            last = time.monotonic()

    return tell


def _let_older_ones_go(pack: Pack) -> None:
    """The file of an earlier standing is no longer claimed; its hash stays in the row and in the record."""
    Pack.objects.filter(
        project=pack.project, kind=pack.kind, language=pack.language, originals=pack.originals
    ).exclude(pk=pack.pk).update(blob=None)
