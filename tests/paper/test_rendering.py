"""The PDF as independent readers see it."""

import io
import re
import subprocess

import pytest
from pypdf import PdfReader
from pypdf.generic import IndirectObject

from coordination.paper import Attached, PaperError, render_pdf, renderer
from tests.paper import sheets


@pytest.fixture(scope="module")
def pdf() -> bytes:
    return render_pdf(sheets.order())


@pytest.fixture(scope="module")
def path(pdf, tmp_path_factory):
    place = tmp_path_factory.mktemp("pdf") / "paper.pdf"
    place.write_bytes(pdf)
    return place


@pytest.fixture(scope="module")
def reader(pdf) -> PdfReader:
    return PdfReader(io.BytesIO(pdf), strict=True)


def said_by(*command) -> str:
    return subprocess.run([str(word) for word in command], capture_output=True, text=True, check=True).stdout


def faults_of(**changes) -> tuple[str, ...]:
    with pytest.raises(PaperError) as refusal:
        render_pdf(sheets.order(**changes))
    return refusal.value.faults


def elements(reader: PdfReader) -> list[dict]:
    """All structure elements, in reading order."""
    found = []

    def walk(node):
        node = node.get_object() if isinstance(node, IndirectObject) else node
        if isinstance(node, list):
            for kid in node:
                walk(kid)
        elif isinstance(node, dict) and "/S" in node:
            found.append(node)
            walk(node.get("/K", []))

    walk(reader.trailer["/Root"]["/StructTreeRoot"]["/K"])
    return found


def test_qpdf_finds_no_fault(path):
    assert "No syntax or stream encoding errors found" in said_by("qpdf", "--check", path)


def test_what_the_file_says_of_itself(path):
    lines = dict(line.split(":", 1) for line in said_by("pdfinfo", path).splitlines())
    said = {
        key: lines[key].strip()
        for key in ("Title", "Author", "Tagged", "Page size", "JavaScript", "Encrypted")
    }
    assert said == {
        "Title": "A paper to look at",
        "Author": "A. Author",
        "Tagged": "yes",
        "Page size": "612 x 792 pts (letter)",
        "JavaScript": "no",
        "Encrypted": "no",
    }


def test_language_dates_and_identifier(reader):
    root = reader.trailer["/Root"]
    assert (root["/Lang"], root["/ViewerPreferences"]["/DisplayDocTitle"]) == ("en-US", True)
    assert reader.metadata.creation_date == reader.metadata.modification_date == sheets.MADE_AT
    assert reader.trailer["/ID"][0].original_bytes == b"0123456789abcdef"


def test_both_standards_are_named_in_plain_sight(pdf):
    assert re.search(rb'pdfaid:part="3"|<pdfaid:part>3<', pdf)
    assert re.search(rb'pdfaid:conformance="A"|<pdfaid:conformance>A<', pdf)
    assert b"<pdfuaid:part>1</pdfuaid:part>" in pdf
    assert b"http://www.aiim.org/pdfua/ns/id/" in pdf


def test_text_comes_back_in_reading_order(path):
    text = said_by("pdftotext", path, "-")
    wanted = [
        "First heading",
        "Fractions ½ ⅛, 21 °C, → ≥ ≤ and a link.",
        "In the drawing",
        "Its caption",
        "row 1",
        "row 60",
        "two",
    ]
    places = [text.index(words) for words in wanted]
    assert places == sorted(places)


def test_every_page_has_its_running_text(reader):
    pages = len(reader.pages)
    assert pages > 1
    for number, page in enumerate(reader.pages, start=1):
        text = page.extract_text()
        assert all(words in text for words in ("At the head", "At the foot", f"Page {number} of {pages}"))


@pytest.mark.parametrize(("paper", "size"), [("letter", (612, 792)), ("a4", (595, 842))])
def test_paper_sizes(paper, size):
    pdf = render_pdf(sheets.order(html=sheets.HTML.replace('class="letter"', f'class="{paper}"')))
    box = PdfReader(io.BytesIO(pdf)).pages[0].mediabox
    assert (round(box.width), round(box.height)) == size


def test_outline(reader):
    def titles(outline):
        return [titles(item) if isinstance(item, list) else item["/Title"] for item in outline]

    assert titles(reader.outline) == ["First heading", ["A drawing", "A photo", "A table"]]


def test_tags(reader):
    kinds = {element["/S"] for element in elements(reader)}
    assert kinds >= {
        "/H1",
        "/H2",
        "/P",
        "/Figure",
        "/Caption",
        "/Table",
        "/TR",
        "/TH",
        "/TD",
        "/L",
        "/LI",
        "/Link",
    }


def test_every_picture_has_its_words(reader):
    words = [element.get("/Alt") for element in elements(reader) if element["/S"] == "/Figure"]
    assert words == ["The drawing in words", "The photo in words"]


def test_every_header_cell_says_what_it_heads(reader):
    scopes = [element["/A"]["/Scope"] for element in elements(reader) if element["/S"] == "/TH"]
    tables = sum(element["/S"] == "/Table" for element in elements(reader))
    assert scopes.count("/Row") == 60
    assert scopes.count("/Column") == 3 * tables
    assert len(scopes) == 60 + 3 * tables


def test_fonts_are_embedded_and_ours(path):
    lines = said_by("pdffonts", path).splitlines()[2:]
    assert all(re.search(r" yes yes yes +\d+ +0$", line) for line in lines)
    families = {line.split()[0].split("+")[1] for line in lines}
    assert {"Source-Sans-Pro", "Source-Sans-Pro-Bold"} <= families
    assert all(family.startswith(("Source-Sans-Pro", "DejaVu-Sans")) for family in families)


def test_a_photo_goes_in_byte_for_byte(path, tmp_path):
    said_by("pdfimages", "-j", path, tmp_path / "out")
    assert [file.read_bytes() for file in tmp_path.glob("*.jpg")] == [sheets.photo()]


def test_no_picture_asks_for_smoothing(reader):
    images = [thing for page in reader.pages for thing in page["/Resources"]["/XObject"].values()]
    asked = [
        image.get_object()["/Interpolate"]
        for image in images
        if image.get_object().get("/Subtype") == "/Image"
    ]
    assert asked
    assert not any(value.value for value in asked)


def test_attachments_come_back(reader):
    assert {name: content[0] for name, content in reader.attachments.items()} == {
        attached.name: attached.content for attached in sheets.attachments()
    }
    files = [item.get_object() for item in reader.trailer["/Root"]["/AF"]]
    said = {
        file["/UF"]: (
            file["/AFRelationship"],
            file["/Desc"],
            file["/EF"]["/F"]["/Subtype"],
            file["/EF"]["/F"]["/Params"]["/ModDate"],
        )
        for file in files
    }
    assert said == {
        "manifest.txt": ("/Supplement", "Hashes", "/text/plain", "D:20260309140506Z"),
        "snapshot.json": ("/Source", "What was frozen", "/application/json", "D:20260309140506Z"),
    }


@pytest.mark.parametrize(
    "hostile",
    [
        '<img src="https://example.org/x.png" alt="x">',
        '<img src="file:///etc/hostname" alt="x">',
        '<img src="data:image/png;base64,AAAA" alt="x">',
        '<img src="../../etc/hostname" alt="x">',
        '<img src="photo/two.jpg" alt="x">',
        '<img src="fonts/../rendering.py" alt="x">',
        '<link rel="stylesheet" href="http://127.0.0.1:1/x.css">',
        '<style>@import url(x.css);</style>',
        '<style>p { background: url(//example.org/x.png) }</style>',
        '<object data="file:///etc/passwd"></object>',
        '<link rel="attachment" href="file:///etc/passwd">',
        '<a rel="attachment" href="file:///etc/passwd">x</a>',
        '<base href="http://example.org/"><img src="photo/one.jpg" alt="x">',
    ],
)  # fmt: skip
def test_what_was_not_handed_over_stops_the_paper(hostile):
    fault, *_ = faults_of(html=sheets.HTML.replace("<h1>", f"{hostile}<h1>"))
    assert "was not handed over" in fault


def test_a_drawing_cannot_reach_out_either():
    svg = sheets.SVG.replace(b"<defs>", b'<image href="file:///etc/hostname" width="9" height="9"/><defs>')
    (fault,) = faults_of(resources={**sheets.resources(), "drawing/section.svg": svg})
    assert "was not handed over" in fault


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"html": sheets.HTML.replace(' alt="The photo in words"', "")}, 'Image "photo/one.jpg" has no required alt description'),
        ({"html": sheets.HTML.replace("<h1>", '<a href="#nowhere">x</a><h1>')}, "No anchor #nowhere for internal URI reference"),
        ({"html": sheets.HTML.replace("<h1>", "<style>p { colour: red }</style><h1>")}, "Ignored `colour: red ` at 1:5, unknown property."),
        ({"html": sheets.HTML.replace("<h1>", '<link rel="attachment" href="photo/one.jpg"><h1>')}, "files are attached through the argument, not in the HTML"),
        ({"identifier": b"short"}, "identifier must be 16 bytes"),
        ({"made_at": sheets.MADE_AT.replace(tzinfo=None)}, "made_at must know its time zone"),
        ({"title": " "}, "a paper needs a title"),
        ({"language": ""}, "a paper needs a language"),
        ({"profile": "pdf/x-4"}, "profile is 'pdf/x-4'; write pdf/a-3a"),
        ({"attachments": [Attached("a", b"1", "text/plain"), Attached("a", b"2", "text/plain")]}, "two attachments have the same name"),
        ({"attachments": [Attached("a", b"1", "text/plain"), Attached("b", b"1", "text/plain")]}, "two attachments have the same content"),
        ({"attachments": [Attached("a", b"1", "text/plain", relationship="x")]}, "the relationship of an attachment is one of Source, Data, Alternative, Supplement, Unspecified"),
    ],
)  # fmt: skip
def test_faults_are_named_and_nothing_is_made(change, fault):
    assert faults_of(**change) == (fault,)


def test_a_broken_photo_stops_the_paper_by_name():
    (fault,) = faults_of(resources={**sheets.resources(), "photo/one.jpg": b"no picture"})
    assert "photo/one.jpg" in fault


def test_a_letter_that_no_font_has_is_replaced(caplog, tmp_path):
    strange = "\U0010fff0"
    html = sheets.HTML.replace("First heading", f"Name {strange}{strange} end")
    svg = sheets.SVG.replace(b"In the drawing", f"In {strange} it".encode())
    pdf = render_pdf(sheets.order(html=html, resources={**sheets.resources(), "drawing/section.svg": svg}))
    (tmp_path / "a.pdf").write_bytes(pdf)
    text = said_by("pdftotext", tmp_path / "a.pdf", "-")
    assert "Name \ufffd\ufffd end" in text
    assert "In \ufffd it" in text
    assert "No font has U+10FFF0." in caplog.text


def test_the_renderer_names_its_versions():
    assert re.fullmatch(
        r"weasyprint [\d.]+, pydyf [\d.]+, fonttools [\d.]+, font-source-sans-pro [\d.]+, pango [\d.]+",
        renderer(),
    )
