"""What a PDF/A-3a file still lacks to be PDF/UA-1 at the same time (ISO 19005-3, ISO 14289-1)."""

import io
from collections.abc import Callable
from importlib.resources import files
from typing import Any

import pydyf
from weasyprint.css import ColorProfile

from coordination.paper.writing import ObjectByObject

# The mark of PDF/UA-1, and its description, without which PDF/A refuses a property it does not know
# (ISO 19005-3, 6.6.2.3.3).
PDFUA = b"""<rdf:Description xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#" rdf:about=""
 xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/"><pdfuaid:part>1</pdfuaid:part></rdf:Description>
<rdf:Description xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#" rdf:about=""
 xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/"
 xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#"
 xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">
<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">
<pdfaSchema:schema>PDF/UA Universal Accessibility Schema</pdfaSchema:schema>
<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>
<pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>
<pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource">
<pdfaProperty:name>part</pdfaProperty:name>
<pdfaProperty:valueType>Integer</pdfaProperty:valueType>
<pdfaProperty:category>internal</pdfaProperty:category>
<pdfaProperty:description>Indicates, which part of ISO 14289 standard is followed</pdfaProperty:description>
</rdf:li></rdf:Seq></pdfaSchema:property>
</rdf:li></rdf:Bag></pdfaExtension:schemas></rdf:Description>
"""


class UndatedAttachment(Exception):
    """The HTML attaches a file by itself; such a file would carry the time of the rendering."""


def finisher(attachments: int) -> Callable[[Any, pydyf.PDF], None]:
    """What WeasyPrint calls before it writes the file, which must carry ``attachments`` embedded files."""

    def finish(_document: object, pdf: pydyf.PDF) -> None:
        if len(_of_type(pdf, "/Filespec")) != attachments:
            raise UndatedAttachment
        _mark_as_accessible(pdf)
        _scope_header_cells(pdf)
        _no_interpolation(pdf)
        pdf.__class__ = ObjectByObject

    return finish


def srgb() -> ColorProfile:
    """The colours of the paper. WeasyPrint would open the same file itself and leave it open."""
    return ColorProfile(
        io.BytesIO((files("weasyprint.pdf") / "sRGB2014.icc").read_bytes()),
        "sRGB2014.icc",
        "relative-colorimetric",
        (["r"], ["g"], ["b"]),
    )


def _mark_as_accessible(pdf: pydyf.PDF) -> None:
    metadata = pdf.objects[int(pdf.catalog["Metadata"].split()[0])]
    metadata.stream[0] = metadata.stream[0].replace(b"</rdf:RDF>", PDFUA + b"</rdf:RDF>")
    metadata.compress = False  # legible to whoever looks for it without a PDF reader


def _scope_header_cells(pdf: pydyf.PDF) -> None:
    """Say of each header cell whether it heads a column or a row; a cell in the corner is tied to nothing else."""
    elements = {element.number: element for element in _of_type(pdf, "/StructElem")}
    for cell in elements.values():
        if cell["S"] == "/TH":
            row = elements[int(cell["P"].split()[0])]
            section = elements.get(int(row["P"].split()[0]), {})
            cell["A"]["Scope"] = "/Column" if section.get("S") == "/THead" else "/Row"


def _no_interpolation(pdf: pydyf.PDF) -> None:
    """PDF/A forbids smoothing of pictures by the reader (ISO 19005-3, 6.2.8)."""
    for thing in pdf.objects:
        if isinstance(thing, pydyf.Stream) and "Interpolate" in thing.extra:
            thing.extra["Interpolate"] = "false"


def _of_type(pdf: pydyf.PDF, name: str) -> list[pydyf.Dictionary]:
    return [thing for thing in pdf.objects if isinstance(thing, dict) and thing.get("Type") == name]
