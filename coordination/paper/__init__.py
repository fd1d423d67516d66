"""HTML to a PDF that lasts: PDF/A-3a and PDF/UA-1 in one file, the same bytes for the same input.

Knows nothing of the trade. WeasyPrint and the system's Pango are loaded when the first page is made, not before, so
that nothing else depends on them.
"""

from coordination.paper.apart import render_apart
from coordination.paper.ordering import Attached, Order, PaperError
from coordination.paper.rendering import render_pdf, renderer

__all__ = ["Attached", "Order", "PaperError", "render_apart", "render_pdf", "renderer"]
