"""One failing photo stops no report: it is listed as missing, with the reason; a lost copy is made again where it can be."""

import io

import pypdf
import pytest

from coordination.evidence.models import Evidence, Rendition
from coordination.files.images import ImageRefused
from coordination.files.keeping import path_of, verify
from coordination.files.models import Blob
from coordination.gates.models import Clearing
from coordination.handover.actions import make_gate_report
from coordination.handover.composing import compose_gate_report, snapshot_of
from coordination.handover.pictured import without_lost_pictures
from tests.gates.sites import Site, build

LEFT = "backing@rail-wall#left"


@pytest.fixture
def unpictured(db: None) -> Site:
    """The job, ready to be cleared; no copies are made yet."""
    site = build()
    site.signed()
    return site


def original(site: Site) -> Blob:
    blob = Evidence.objects.get(requirement=site.need(LEFT)).blob
    assert blob is not None
    return blob


def spoil(blob: Blob, content: bytes | None) -> None:
    path = path_of(blob)
    path.unlink()
    if content is not None:
        path.write_bytes(content)


def copy_of(site: Site) -> Blob:
    return Rendition.objects.get(evidence__requirement=site.need(LEFT), size=1600).blob


def cleared(site: Site) -> Clearing:
    site.clear("close-in")
    return Clearing.objects.select_related("gate__task__project__supplier", "event").get()


def text_of(clearing: Clearing) -> str:
    content = compose_gate_report(clearing, language="en-us", paper="letter").render()
    pages = pypdf.PdfReader(io.BytesIO(content)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (None, "left.jpg: the original is not in the store any more."),
        (b"other bytes", "left.jpg: what is in the store is not what was handed in."),
    ],
    ids=["lost", "altered"],
)
def test_a_damaged_original_holds_neither_the_gate_nor_its_report(unpictured, content, expected) -> None:
    spoil(original(unpictured), content)
    clearing = cleared(unpictured)
    text = text_of(clearing)
    assert expected.partition(": ")[2] in text
    assert original(unpictured).sha256 in text.replace(" ", "")
    assert "E-77" in text  # and everything else is there


def test_a_photo_that_cannot_be_decoded_is_missing_with_its_reason(unpictured, monkeypatch) -> None:
    broken = original(unpictured)

    def fails(source, sizes):
        if source == path_of(broken):
            raise ImageRefused("damaged")
        return make(source, sizes)

    from coordination.evidence import renditions

    make = renditions.make_renditions
    monkeypatch.setattr(renditions, "make_renditions", fails)
    clearing = cleared(unpictured)
    assert "the original is damaged and cannot be read" in text_of(clearing)
    report = make_gate_report(clearing, unpictured.step(), language="en-us", paper="letter")
    verify(report.blob)


def test_the_reason_is_frozen_with_the_clearing(unpictured) -> None:
    blob = original(unpictured)
    whole = path_of(blob).read_bytes()
    spoil(blob, None)
    clearing = cleared(unpictured)
    before = text_of(clearing)
    path_of(blob).write_bytes(whole)
    assert text_of(clearing) == before


def test_a_lost_copy_is_made_again_and_the_report_is_the_same(unpictured) -> None:
    clearing = cleared(unpictured)
    before = compose_gate_report(clearing, language="en-us", paper="letter").render()
    spoil(copy_of(unpictured), None)
    again = compose_gate_report(clearing, language="en-us", paper="letter").render()
    assert again == before
    verify(copy_of(unpictured))


@pytest.mark.parametrize("content", [None, b"other bytes"], ids=["lost", "altered"])
def test_a_copy_that_is_lost_with_its_original_is_missing_with_the_reason(unpictured, content) -> None:
    clearing = cleared(unpictured)
    spoil(copy_of(unpictured), content)
    spoil(original(unpictured), content)
    why = {None: "not in the store any more", b"other bytes": "not what was handed in"}[content]
    assert why in text_of(clearing)


def test_a_copy_that_would_come_out_as_other_bytes_is_not_put_in_its_place(unpictured, monkeypatch) -> None:
    """Another version of the encoder: the paper must not show what was not frozen."""
    clearing = cleared(unpictured)
    spoil(copy_of(unpictured), None)
    monkeypatch.setattr("coordination.files.images.renditions.QUALITY", 40)
    assert "its copy is lost and could not be made again with the same bytes" in text_of(clearing)
    assert not path_of(copy_of(unpictured)).exists()


def test_with_every_copy_whole_nothing_is_altered(unpictured) -> None:
    clearing = cleared(unpictured)
    assert without_lost_pictures(snapshot_of(clearing)) == snapshot_of(clearing)
