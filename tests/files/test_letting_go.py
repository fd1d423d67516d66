"""A file that nobody claimed is let go days later; what anybody points to, or what came again, stays."""

import os
import threading
from datetime import datetime, timedelta
from uuid import UUID

import pytest
from django.utils import timezone

from coordination.background.running import run_until_idle
from coordination.console.background_work import WORKS
from coordination.evidence.actions import hand_in
from coordination.evidence.arrivals import take_in
from coordination.evidence.items import HandIn
from coordination.evidence.models import Evidence
from coordination.evidence.refusals import NotHandedIn
from coordination.evidence.renditions import ensure_renditions
from coordination.files.keeping import alone, keep, path_of
from coordination.files.letting_go import let_go, unclaimed
from coordination.files.models import Blob
from tests.gates.sites import BACKING, build, picture

ONE = UUID("11111111-1111-4111-8111-111111111111")
pytestmark = pytest.mark.django_db


def grown_old(blob: Blob, days: int = 10) -> datetime:
    """Make a file look as if it had come ``days`` ago; a moment after that."""
    then = timezone.now() - timedelta(days=days)
    Blob.objects.filter(pk=blob.pk).update(created=then)
    os.utime(path_of(blob), (then.timestamp(), then.timestamp()))
    return then + timedelta(seconds=1)


def test_a_refused_hand_in_leaves_a_file_that_is_let_go_later_and_nothing_else():
    site = build()
    site.start(BACKING.key, "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.review("backing@rail-wall#left", "contractor")
    evidence = take_in(site.project, picture(77), kind="photo")
    with pytest.raises(NotHandedIn):
        hand_in(
            site.project,
            site.who("framer"),
            site.step(),
            site.need("backing@rail-wall#left").uid,
            HandIn(UUID(int=1), blob=evidence.blob, image=evidence.image),
        )
    for blob in Blob.objects.all():
        grown_old(blob)
    [work] = [work for work in WORKS if work.kind == "files"]
    tried = run_until_idle([work], timezone.now(), children=False)
    assert [(one.kind, one.key, one.error) for one in tried] == [("files", str(evidence.blob.pk), "")]
    assert (Blob.objects.count(), path_of(evidence.blob).exists()) == (1, False)


def test_originals_copies_and_reports_are_somebodys():
    site = build()
    site.signed()
    copies = ensure_renditions(Evidence.objects.get(requirement=site.need("backing@rail-wall#left")))
    assert len(copies) == 2
    before = [grown_old(blob) for blob in Blob.objects.all()]
    assert (len(before) > 0, unclaimed(max(before))) == (True, [])


def test_the_same_bytes_that_come_again_are_young_again():
    blob = keep(ONE, b"plumb", media_type="text/plain")
    before = grown_old(blob)
    assert unclaimed(before) == [str(blob.pk)]
    assert keep(ONE, b"plumb", media_type="text/plain") == blob
    assert (unclaimed(before), let_go(str(blob.pk), before), path_of(blob).exists()) == ([], False, True)


def test_it_is_let_go_once():
    blob = keep(ONE, b"plumb", media_type="text/plain")
    before = grown_old(blob)
    assert [let_go(str(blob.pk), before) for _ in range(2)] == [True, False]
    assert (Blob.objects.exists(), path_of(blob).exists()) == (False, False)
    assert keep(ONE, b"plumb", media_type="text/plain").sha256 == blob.sha256


def test_nobody_keeps_while_somebody_lets_go():
    kept = threading.Event()

    def come() -> None:
        with alone():
            kept.set()

    with alone():
        other = threading.Thread(target=come)
        other.start()
        assert not kept.wait(0.05)
    other.join()
    assert kept.is_set()


def test_a_file_that_is_gone_already_hinders_nobody():
    blob = keep(ONE, b"plumb", media_type="text/plain")
    before = grown_old(blob)
    path_of(blob).unlink()
    assert (unclaimed(before), let_go(str(blob.pk), before)) == ([str(blob.pk)], True)
