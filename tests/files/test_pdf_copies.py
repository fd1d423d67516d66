"""A PDF for strangers, read back by programs that share nothing with the one that makes it."""

import contextlib
import io
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pikepdf import Array, Dictionary, Name, String
from PIL import Image, ImageCms
from pypdf import PdfReader, PdfWriter

from coordination.files.images import ImageRefused
from coordination.files.images.unmarked import unmarked_jp2, unmarked_jpeg
from coordination.files.pdf_copies import NotCopied, for_strangers, tells
from tests.files import scans
from tests.files.conftest import CAMERA, run
from tests.files.scans import NAMED, all_bytes_of, remark, saved, scan, told_by_exiftool

PERSON = {
    "Artist": "Ida Lunde",
    "XMP:Creator": "Ida Lunde",
    "XMP:GPSLatitude": "41.5",
    "Comment": "Ida Lunde's phone",
}


@pytest.fixture
def photo(drawn: Any, tagged: Any) -> bytes:
    """As a phone makes it: where, when, with what, by whom, and a second picture behind it."""
    path = tagged(drawn("a.jpg", "400x300"), **CAMERA, **PERSON)
    return bytes(path.read_bytes()) + drawn("second.jpg", "60x40").read_bytes()


@pytest.fixture
def bare(drawn: Any) -> bytes:
    """A picture without any note."""
    return bytes(drawn("a.jpg", "400x300", "-strip").read_bytes())


def pixels(data: bytes) -> bytes:
    with pikepdf.open(io.BytesIO(data)) as pdf:
        return pikepdf.PdfImage(pdf.pages[0].Resources.XObject.Im0).as_pil_image().tobytes()


def copy_of(data: bytes) -> bytes:
    copy = for_strangers(data)
    assert copy is not None
    return copy.content


def reason_for(data: bytes) -> str:
    with pytest.raises(NotCopied) as fault:
        for_strangers(data)
    return fault.value.reason


@pytest.mark.parametrize("packed", [False, True])
@pytest.mark.parametrize(
    "object_streams", [pikepdf.ObjectStreamMode.disable, pikepdf.ObjectStreamMode.generate]
)
def test_nothing_says_who_where_or_with_what(
    photo: bytes, packed: bool, object_streams: Any, tmp_path: Path
) -> None:
    given = saved(scan(photo, packed=packed), object_stream_mode=object_streams, fix_metadata_version=False)
    copy = copy_of(given)
    assert NAMED.search(all_bytes_of(given))
    assert NAMED.findall(all_bytes_of(copy)) == []
    assert pixels(copy) == pixels(given)
    with pikepdf.open(io.BytesIO(copy)) as pdf:
        assert (dict(pdf.docinfo), list(pdf.attachments), "/Metadata" in pdf.Root) == ({}, [], False)
        assert str(pdf.pages[0].Annots[0].Contents) == "7 yards"
        assert "/T" not in pdf.pages[0].Annots[0]
    (tmp_path / "given.pdf").write_bytes(given)
    (tmp_path / "copy.pdf").write_bytes(copy)
    run("qpdf", "--check", tmp_path / "copy.pdf")
    assert "Ida Lunde" in told_by_exiftool(tmp_path / "given.pdf")
    assert told_by_exiftool(tmp_path / "copy.pdf") == ""
    assert (copy_of(given), tells(given), tells(copy), copy[:8]) == (copy, True, False, given[:8])


@pytest.mark.parametrize("maker", ["cairo", "weasyprint", "exiftool"])
def test_papers_of_other_programs(photo: bytes, maker: str, tmp_path: Path) -> None:
    given = {
        "cairo": lambda: scans.by_cairo(saved(scan(photo)), tmp_path),
        "weasyprint": lambda: scans.by_weasyprint(tmp_path),
        "exiftool": lambda: scans.by_exiftool(scans.plain(), tmp_path),
    }[maker]()
    copy = copy_of(given)
    assert NAMED.search(all_bytes_of(given))
    assert NAMED.findall(all_bytes_of(copy)) == []
    (tmp_path / "copy.pdf").write_bytes(copy)
    assert told_by_exiftool(tmp_path / "copy.pdf") == ""
    run("qpdf", "--check", tmp_path / "copy.pdf")
    words = [[page.extract_text() for page in PdfReader(io.BytesIO(one)).pages] for one in (given, copy)]
    assert words[0] == words[1]


def script(**more: Any) -> Dictionary:
    return Dictionary(S=Name.JavaScript, JS=String("app.alert('Ida Lunde')"), **more)


def file_in(pdf: pikepdf.Pdf) -> pikepdf.Object:
    named = {"F": String("Ida Lunde.jpg"), "UF": String("C:/Users/Ida Lunde/scan.jpg")}
    held = pdf.make_stream(b"Exif\0\0 Ida Lunde")
    return pdf.make_indirect(Dictionary(Type=Name.Filespec, EF=Dictionary(F=held), **named))


def on_root(**more: Any) -> Callable[[pikepdf.Pdf], None]:
    return lambda pdf: pdf.Root.update({f"/{key}": value for key, value in more.items()})


def on_page(**more: Any) -> Callable[[pikepdf.Pdf], None]:
    return lambda pdf: pdf.pages[0].obj.update({f"/{key}": value for key, value in more.items()})


def annotated(pdf: pikepdf.Pdf, **more: Any) -> None:
    pdf.pages[0].Annots = Array([pdf.make_indirect(remark(**more))])


BO = String("Ida Lunde")
NAMED_SCRIPTS = Dictionary(JavaScript=Dictionary(Names=Array([BO, script()])))
FIRST_THEN_SCRIPT = Dictionary(S=Name.Named, N=Name.FirstPage, Next=script())
START = Dictionary(S=Name.Launch, F=String("C:/Users/Ida Lunde/run.exe"))
LAYER = Dictionary(Usage=Dictionary(CreatorInfo=Dictionary(Creator=BO)))
MAP = Dictionary(Type=Name.Measure, Subtype=Name.GEO, GPTS=[41.5, -81.25], GCS=Dictionary(EPSG=4326))
NOTED: dict[str, Callable[[pikepdf.Pdf], None]] = {
    "a file attached to the document": lambda pdf: pdf.attachments.__setitem__("Ida Lunde.jpg", b"Ida Lunde"),
    "a file attached to a page": lambda pdf: annotated(pdf, Subtype=Name.FileAttachment, FS=file_in(pdf)),
    "a file that belongs to a page": lambda pdf: on_page(AF=Array([file_in(pdf)]))(pdf),
    "a collection of files": on_root(Collection=Dictionary(D=BO)),
    "a script of the document": on_root(Names=NAMED_SCRIPTS),
    "a script on opening": on_root(OpenAction=script()),
    "a script behind another action": on_root(OpenAction=FIRST_THEN_SCRIPT),
    "a script of a page": on_page(AA=Dictionary(O=script())),
    "a script behind a link": lambda pdf: annotated(pdf, Subtype=Name.Link, A=script()),
    "another program started": lambda pdf: annotated(pdf, Subtype=Name.Link, A=START),
    "another file opened": lambda pdf: annotated(
        pdf, Subtype=Name.Link, A=Dictionary(S=Name.GoToR, F=file_in(pdf), D=[0, Name.Fit])
    ),
    "whoever wrote a remark": lambda pdf: annotated(pdf, RC=String("<body>Ida Lunde</body>")),
    "a sound": lambda pdf: annotated(pdf, Subtype=Name.Sound, Sound=pdf.make_stream(b"Ida Lunde")),
    "a form of another kind": on_root(AcroForm=Dictionary(Fields=Array(), XFA=Array([BO, String("<xfa/>")]))),
    "a map": on_page(VP=Array([Dictionary(BBox=[0, 0, 9, 9], Measure=MAP)])),
    "a small picture of a page": lambda pdf: on_page(Thumb=pdf.make_stream(b"Ida Lunde"))(pdf),
    "a layer's maker": on_root(OCProperties=Dictionary(OCGs=Array([LAYER]))),
    "an article's writer": on_root(Threads=Array([Dictionary(Type=Name.Thread, I=Dictionary(Author=BO))])),
}


def noted(kind: str, bare: bytes) -> pikepdf.Pdf:
    """A page with a bare picture and one thing that is no page."""
    pdf = scans.with_picture(bare)
    NOTED[kind](pdf)
    return pdf


LEFT_OVER = ("Ida Lunde", "app.alert", "41.5", "4326", "run.exe", "/JavaScript", "/EmbeddedFiles", "/XFA")


@pytest.mark.parametrize("kind", NOTED)
def test_each_kind_of_note_is_taken_out_and_told_of(kind: str, bare: bytes, tmp_path: Path) -> None:
    given = saved(noted(kind, bare))
    copy = copy_of(given)
    before, after = all_bytes_of(given).decode("latin-1"), all_bytes_of(copy).decode("latin-1")
    assert any(words in before for words in LEFT_OVER)
    assert [words for words in LEFT_OVER if words in after] == []
    assert (tells(given), tells(copy), pixels(copy) == pixels(given)) == (True, False, True)
    (tmp_path / "copy.pdf").write_bytes(copy)
    run("qpdf", "--check", tmp_path / "copy.pdf")


def test_fields_links_and_words_stay(bare: bytes) -> None:
    pdf = scans.with_picture(bare)
    field = Dictionary(
        Type=Name.Annot, Subtype=Name.Widget, FT=Name.Tx, T=String("yards"), V=String("7"), Rect=[0, 0, 9, 9]
    )
    link = remark(Subtype=Name.Link, A=Dictionary(S=Name.URI, URI=String("https://example.org/ticket")))
    pdf.pages[0].Annots = Array([pdf.make_indirect(field), pdf.make_indirect(link)])
    pdf.Root.AcroForm = Dictionary(Fields=Array([pdf.pages[0].Annots[0]]))
    with pikepdf.open(io.BytesIO(copy_of(saved(pdf)))) as copy:
        kept, linked = copy.pages[0].Annots
        assert (str(kept.T), str(kept.V), str(linked.A.URI)) == ("yards", "7", "https://example.org/ticket")


def test_an_earlier_version_does_not_stay_behind(bare: bytes) -> None:
    """What an editor overwrote is still in the file that it wrote; nothing leads to it."""
    first, file = PdfReader(io.BytesIO(saved(noted("whoever wrote a remark", bare)))), io.BytesIO()
    writer = PdfWriter(first, incremental=True)
    del writer.pages[0]["/Annots"]
    writer.write(file)
    given = file.getvalue()
    assert b"Ida Lunde" in given
    assert b"Ida Lunde" not in all_bytes_of(copy_of(given))


def test_a_scanner_that_colours_name_is_forgotten(bare: bytes) -> None:
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    for kind, told in ((b"mntr", False), (b"scnr", True)):
        profile[12:16] = kind
        pdf = scans.with_picture(bare)
        held = pdf.make_stream(bytes(profile), N=3, Alternate=Name.DeviceRGB)
        pdf.pages[0].Resources.XObject.Im0.ColorSpace = Array([Name.ICCBased, held])
        given = saved(pdf)
        copy = copy_of(given)
        assert (b"acsp" in all_bytes_of(given), b"acsp" in all_bytes_of(copy)) == (True, False)
        assert (tells(given), pixels(copy) == pixels(given)) == (told, True)


# ---- pictures
@pytest.mark.parametrize(
    "more", [[], ["-colorspace", "Gray"], ["-interlace", "JPEG"], ["-colorspace", "CMYK"]]
)
def test_a_jpeg_keeps_its_pixels_alone(drawn: Any, tagged: Any, more: list[str], tmp_path: Path) -> None:
    whole = tagged(drawn("a.jpg", "400x300", *more), **CAMERA, **PERSON).read_bytes()
    path = tmp_path / "plain.jpg"
    path.write_bytes(unmarked_jpeg(whole))
    assert run("exiftool", "-EXIF:all", "-XMP:all", "-IPTC:all", "-ICC_Profile:all", "-Comment", path) == ""
    with Image.open(io.BytesIO(whole)) as one, Image.open(path) as other:
        assert (one.mode, one.tobytes()) == (other.mode, other.tobytes())


def jpeg_2000(tagged: Any, tmp_path: Path) -> bytes:
    """Encoded by OpenJPEG, notes written by exiftool."""
    with Image.new("RGB", (400, 300), (90, 120, 60)) as picture:
        picture.save(tmp_path / "a.jp2")
    return bytes(tagged(tmp_path / "a.jp2", **CAMERA, **{"XMP:Creator": "Ida Lunde"}).read_bytes())


def test_a_jpeg_2000_keeps_its_pixels_alone(tagged: Any, tmp_path: Path) -> None:
    whole = jpeg_2000(tagged, tmp_path)
    path = tmp_path / "plain.jp2"
    path.write_bytes(unmarked_jp2(whole))
    assert run("exiftool", "-EXIF:all", "-XMP:all", "-Make", tmp_path / "a.jp2") != ""
    assert run("exiftool", "-EXIF:all", "-XMP:all", "-Make", path) == ""
    with Image.open(io.BytesIO(whole)) as one, Image.open(path) as other:
        assert one.tobytes() == other.tobytes()
    copy = copy_of(saved(scans.with_picture(whole, Name.JPXDecode)))
    assert NAMED.findall(all_bytes_of(copy)) == []
    for wrong in (b"no picture at all", whole[:20]):
        with pytest.raises(ImageRefused):
            unmarked_jp2(wrong)


# ---- signed, locked, damaged
def test_a_signed_one_goes_as_it_is_only_where_it_tells_nothing(
    bare: bytes, photo: bytes, tmp_path: Path
) -> None:
    assert for_strangers(scans.signed(bare)) is None
    telling = (
        scans.signed(photo),
        scans.signed(bare, Location=String("41.5 N 81.25 W")),
        scans.by_exiftool(scans.signed(bare), tmp_path),
    )
    for one in telling:
        copy = for_strangers(one)
        assert copy is not None
        assert (copy.unsigned, tells(copy.content)) == (True, False)
        assert b"/ByteRange" not in all_bytes_of(copy.content)


def test_a_signature_that_only_lets_a_program_do_more_is_none(bare: bytes) -> None:
    pdf = noted("whoever wrote a remark", bare)
    rights = Dictionary(Type=Name.Sig, ByteRange=[0, 1, 2, 3], Contents=String("x"))
    pdf.Root.Perms = Dictionary(UR3=pdf.make_indirect(rights))
    assert b"Ida Lunde" not in all_bytes_of(copy_of(saved(pdf)))


def locked() -> bytes:
    writer, file = PdfWriter(), io.BytesIO()
    writer.add_blank_page(612, 792)
    writer.encrypt("secret", algorithm="RC4-128")
    writer.write(file)
    return file.getvalue()


def inline(data: bytes, filters: bytes = b"/DCT") -> bytes:
    """A photo inside the drawing itself, where it cannot be taken apart safely."""
    pdf = pikepdf.new()
    page = pdf.add_blank_page()
    page.Contents = pdf.make_stream(
        b"q BI /W 400 /H 300 /CS /RGB /BPC 8 /F " + filters + b" ID " + data + b" EI Q"
    )
    return saved(pdf)


def test_what_cannot_be_cleaned_is_not_given(photo: bytes) -> None:
    broken = saved(scan(photo)).replace(photo[:2] + photo[2:4], b"\0\0\0\0")
    given = [
        (locked(), "locked"),
        (b"%PDF-1.4\nrubbish\n%%EOF", "unreadable"),
        (broken, "unreadable"),
        (inline(photo), "traces left"),
        (inline(b"hidden~>", b"[/A85 /DCT]"), "traces left"),
    ]
    assert [reason_for(data) for data, _reason in given] == [reason for _data, reason in given]


# A name whose key was mangled stands where nobody looks for names; where a picture was taken is found anywhere.
WHERE = re.compile(rb"Exif\0\0|GPSLatitude|xpacket")


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_whatever_is_mangled_is_copied_without_notes_or_refused_for_a_reason(data: st.DataObject) -> None:
    whole = bytearray(scans.scanned())
    for _ in range(data.draw(st.integers(1, 6))):
        begin = data.draw(st.integers(0, len(whole) - 1))
        whole[begin : begin + data.draw(st.integers(0, 40))] = data.draw(st.binary(max_size=8))
    with contextlib.suppress(NotCopied):  # which takes no reason that has no words
        copy = for_strangers(bytes(whole))
        assert copy is None or WHERE.findall(all_bytes_of(copy.content)) == []
