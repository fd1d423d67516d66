"""PDFs as phones, scanners and offices make them, with every kind of note; made by qpdf, cairo, WeasyPrint, exiftool."""

import base64
import contextlib
import io
import re
import subprocess
import zlib
from pathlib import Path
from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name, String
from PIL import Image

# What the makers below write of whoever took, wrote and scanned, and where with what.
NAMED = re.compile(rb"Ida Lunde|Plainview|Handy|GPSLatitude|Exif\0\0|xpacket")


def photo_with_position() -> bytes:
    """A JPEG that says where and with what it was taken."""
    exif = Image.Exif()
    exif[0x010F], exif[0x0110], exif[0x013B] = "Plainview", "Handy 3", "Ida Lunde"
    exif.get_ifd(0x8825).update({1: "N", 2: (44.0, 28.0, 30.0), 3: "W", 4: (73.0, 12.0, 30.0)})
    file = io.BytesIO()
    Image.new("RGB", (400, 300), (90, 120, 60)).save(file, "JPEG", exif=exif)
    return file.getvalue()


def scan(photo: bytes, *, packed: bool = False) -> pikepdf.Pdf:
    """A page with a photo, as a phone scans to PDF, with every kind of note on it."""
    pdf = with_picture(photo)
    picture, page = pdf.pages[0].Resources.XObject.Im0, pdf.pages[0]
    if packed:
        held = base64.a85encode(zlib.compress(photo)) + b"~>"
        picture.write(held, filter=Array((Name.ASCII85Decode, Name.FlateDecode, Name.DCTDecode)))
    picture.Metadata = pdf.make_stream(b"<?xpacket?><x:xmpmeta>Ida Lunde</x:xmpmeta>")
    page.PieceInfo = Dictionary(Scanner=pdf.make_indirect(Dictionary(Private=String("Ida Lunde"))))
    page.Annots = Array([pdf.make_indirect(remark())])
    pdf.attachments["a.jpg"] = photo
    pdf.docinfo["/Author"], pdf.docinfo["/Creator"], pdf.docinfo["/Producer"] = (
        "Ida Lunde",
        "Handy Scan",
        "Plainview",
    )
    with pdf.open_metadata() as said:
        said["dc:creator"] = ["Ida Lunde"]
    return pdf


def with_picture(photo: bytes, kind: Name = Name.DCTDecode) -> pikepdf.Pdf:
    """A page with a photo and nothing else."""
    pdf = pikepdf.new()
    picture = pikepdf.Stream(pdf, photo)
    picture.update({"/Type": Name.XObject, "/Subtype": Name.Image, "/Width": 400, "/Height": 300,
                    "/ColorSpace": Name.DeviceRGB, "/BitsPerComponent": 8})  # fmt: skip
    picture.write(photo, filter=kind)
    page = pdf.add_blank_page(page_size=(612, 459))
    page.Resources = Dictionary(XObject=Dictionary(Im0=pdf.make_indirect(picture)))
    page.Contents = pdf.make_stream(b"q 612 0 0 459 0 0 cm /Im0 Do Q")
    return pdf


def remark(**more: Any) -> Dictionary:
    """Somebody's remark on a page; ``more`` may say of which kind it is."""
    told = {"Subtype": Name.Text, "T": String("Ida Lunde"), "Contents": String("7 yards"), **more}
    return Dictionary(Type=Name.Annot, Rect=[0, 0, 9, 9], **told)


def saved(pdf: pikepdf.Pdf, **options: Any) -> bytes:
    file = io.BytesIO()
    pdf.save(file, **options)
    return file.getvalue()


def scanned(photo: bytes | None = None) -> bytes:
    """The whole of it as bytes."""
    return saved(scan(photo or photo_with_position()), fix_metadata_version=False)


def plain_photo() -> bytes:
    """A JPEG that says nothing."""
    file = io.BytesIO()
    Image.new("RGB", (400, 300), (90, 120, 60)).save(file, "JPEG")
    return file.getvalue()


def plain() -> bytes:
    """A page with a picture that says nothing."""
    return saved(with_picture(plain_photo()))


def signed(photo: bytes, **told: Any) -> bytes:
    """With a signature's dictionary; what it signs does not matter here."""
    pdf = with_picture(photo)
    signature = Dictionary(Type=Name.Sig, ByteRange=[0, 1, 2, 3], Contents=String("x"), **told)
    field = Dictionary(FT=Name.Sig, T=String("authority"), V=pdf.make_indirect(signature))
    pdf.Root.AcroForm = Dictionary(Fields=[pdf.make_indirect(field)], SigFlags=3)
    return saved(pdf)


def by_cairo(data: bytes, folder: Path) -> bytes:
    """Drawn anew; cairo takes JPEGs over as they are."""
    (folder / "in.pdf").write_bytes(data)
    subprocess.run(["pdftocairo", "-pdf", folder / "in.pdf", folder / "out.pdf"], check=True)
    return (folder / "out.pdf").read_bytes()


def by_weasyprint(folder: Path) -> bytes:
    """A letter with author and an attached photo."""
    from weasyprint import HTML

    (folder / "scan.jpg").write_bytes(photo_with_position())
    head = (
        '<title>Ticket</title><meta name="author" content="Ida Lunde"><link rel="attachment" href="scan.jpg">'
    )
    html = f'<html lang="en"><head>{head}</head><body><h1>Ticket 7</h1></body></html>'
    return bytes(HTML(string=html, base_url=str(folder)).write_pdf())


def by_exiftool(data: bytes, folder: Path) -> bytes:
    """With author and program added behind the file, as an editor does; the first version stays in it."""
    path = folder / "edited.pdf"
    path.write_bytes(data)
    tags = ("-Author=Ida Lunde", "-Creator=Handy Scan", "-XMP:CreatorTool=Handy Scan")
    subprocess.run(["exiftool", "-q", "-overwrite_original", *tags, path], check=True)
    return path.read_bytes()


def all_bytes_of(data: bytes) -> bytes:
    """Every object of a PDF, its streams as they are and unpacked, as qpdf reads them."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        found = [data]
        for one in pdf.objects:
            if isinstance(one, pikepdf.Object):  # bare numbers come as such
                found.append(one.unparse())
            if isinstance(one, pikepdf.Stream):
                found.append(one.read_raw_bytes())
                if one.get("/Subtype") != "/Image":
                    with contextlib.suppress(pikepdf.PdfError, pikepdf.DataDecodingError):  # a mangled one
                        found.append(one.read_bytes())
        return b"\n".join(found)


def told_by_exiftool(path: Path) -> str:
    """Who, where, and with what, as exiftool finds it in a file or a folder, also in pictures inside."""
    tags = ("Author", "Creator", "Producer", "Artist", "Make", "Model", "Software", "XMP:all", "GPS:all")
    command = ["exiftool", "-ee3", "-r", "-q", "-G1", "-a", *(f"-{tag}" for tag in tags), path]
    answer = subprocess.run([str(word) for word in command], capture_output=True, text=True, check=False)
    return answer.stdout
