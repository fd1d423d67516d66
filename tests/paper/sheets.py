"""A paper for the tests, with everything a real one has: running text, headings, a drawing, a photo, tables, a link."""

import io
import struct
from datetime import UTC, datetime
from typing import Any

from PIL import Image

from coordination.paper import Attached, Order

MADE_AT = datetime(2026, 3, 9, 14, 5, 6, tzinfo=UTC)
ROWS = "".join(f"<tr><th>{n}</th><td>row {n}</td><td>9' 4 1/2\"</td></tr>" for n in range(1, 61))
HTML = f"""<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>other</title>
<meta name="author" content="A. Author"><link rel="stylesheet" href="paper/sheet.css"></head>
<body class="letter" data-head="At the head" data-foot="At the foot" data-page="Page" data-of="of">
<h1>First heading</h1>
<p>Fractions ½ ⅛, 21 °C, → ≥ ≤ and <a href="https://example.org/">a link</a>.</p>
<h2>A drawing</h2>
<figure><img src="drawing/section.svg" alt="The drawing in words"><figcaption>Its caption</figcaption></figure>
<h2>A photo</h2>
<img src="photo/one.jpg" alt="The photo in words" width="300">
<h2>A table</h2>
<table><caption>What it holds</caption><thead><tr><th></th><th>What</th><th>How much</th></tr></thead>
<tbody>{ROWS}</tbody></table>
<ul><li>one</li><li>two</li></ul>
</body></html>"""
SVG = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 100"><title>The drawing in words</title>
<defs><pattern id="p" width="6" height="6" patternUnits="userSpaceOnUse"><path d="M0 6 6 0" stroke="#888"/></pattern></defs>
<rect x="10" y="10" width="80" height="60" fill="url(#p)" stroke="black"/>
<text x="10" y="90" font-size="9" font-family="Source Sans Pro">In the drawing</text></svg>"""


def photo() -> bytes:
    picture = Image.effect_mandelbrot((640, 480), (-2, -1.2, 1, 1.2), 60).convert("RGB")
    file = io.BytesIO()
    picture.save(file, "JPEG", quality=85, comment=b"")
    return file.getvalue()


def resources() -> dict[str, bytes]:
    return {"drawing/section.svg": SVG, "photo/one.jpg": photo()}


def attachments() -> list[Attached]:
    return [
        Attached("snapshot.json", b'{"gate": "pre-pour"}', "application/json", "What was frozen", "Source"),
        Attached("manifest.txt", struct.pack(">d", 1.5) + b"\n", "text/plain", "Hashes", "Supplement"),
    ]


def order(**changes: Any) -> Order:
    whole = {
        "html": HTML,
        "resources": resources(),
        "identifier": b"0123456789abcdef",
        "made_at": MADE_AT,
        "language": "en-US",
        "title": "A paper to look at",
        "attachments": attachments(),
    }
    return Order(**{**whole, **changes})
