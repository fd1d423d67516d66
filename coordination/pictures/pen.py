"""Writes SVG elements: presentation attributes for paper, classes for screens, never a style attribute.

Lengths in this module are SVG user units (CSS pixels at natural size).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from html import escape
from typing import Final, Literal

from coordination.pictures.typeface import FAMILY, Weight, width_of

Ink = Literal["ink", "quiet", "faint", "accent", "paper", "panel", "wood", "tint"]

SCREEN: Final[Mapping[Ink, str]] = {
    "ink": "#1b2330",
    "quiet": "#475263",
    "faint": "#98a0ac",
    "accent": "#9c4f1c",
    "paper": "#faf7ef",
    "panel": "#fffdf7",
    "wood": "#ead8bb",
    "tint": "#c9c8c4",
}
PRINT: Final[Mapping[Ink, str]] = {
    "ink": "#000000",
    "quiet": "#2b2b2b",
    "faint": "#8a8a8a",
    "accent": "#000000",
    "paper": "#ffffff",
    "panel": "#ffffff",
    "wood": "#ededed",
    "tint": "#cfcfcf",
}


class PictureError(ValueError):
    """The numbers given do not make a drawing; the message names the field and what would be right."""


def number(value: float) -> str:
    """A coordinate with at most two decimals, without trailing zeros or a negative zero."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def element(name: str, *children: str, **attributes: object) -> str:
    """One SVG element; ``None`` attributes are left out, ``data_x`` becomes ``data-x``, ``class_`` ``class``."""
    written = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(_value(value))}"'
        for key, value in attributes.items()
        if value is not None
    )
    inside = "".join(children)
    return f"<{name}{written}>{inside}</{name}>" if inside else f"<{name}{written}/>"


def _value(value: object) -> str:
    return number(value) if isinstance(value, float) else str(value)


def title(words: str) -> str:
    """The name of a group, for screen readers and as a tooltip."""
    return element("title", escape(words, quote=False))


def path(*points: tuple[float, float], closed: bool = False) -> str:
    """Path data through ``points`` in straight lines."""
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points) + ("Z" if closed else "")


@dataclass(frozen=True)
class Pen:
    """Draws in one set of inks; ``prefix`` begins every id, so that two drawings may share a page."""

    prefix: str
    inks: Mapping[Ink, str]

    def shape(
        self,
        name: str,
        *children: str,
        fill: Ink | None = None,
        line: Ink | None = None,
        pattern: str | None = None,
        **attributes: object,
    ) -> str:
        """A shape filled with an ink or a named pattern and outlined with an ink."""
        classes = " ".join(
            [f"picture-fill-{fill}"] * bool(fill and not pattern) + [f"picture-line-{line}"] * bool(line)
        )
        extra = attributes.pop("class_", None)
        return element(
            name,
            *children,
            class_=f"{classes} {extra}".strip() if extra else classes or None,
            fill=f"url(#{self.prefix}-{pattern})" if pattern else self.inks[fill] if fill else "none",
            stroke=self.inks[line] if line else None,
            **attributes,
        )

    def box(self, x: float, y: float, width: float, height: float, **how: object) -> str:
        """A rectangle, also when width or height is given backwards."""
        x, width = (x, width) if width >= 0 else (x + width, -width)
        y, height = (y, height) if height >= 0 else (y + height, -height)
        return self.shape("rect", x=float(x), y=float(y), width=float(width), height=float(height), **how)  # type: ignore[arg-type]

    def line(self, x1: float, y1: float, x2: float, y2: float, line: Ink = "ink", **how: object) -> str:
        """A straight line."""
        return self.shape("line", x1=float(x1), y1=float(y1), x2=float(x2), y2=float(y2), line=line, **how)  # type: ignore[arg-type]

    def stroke(self, *points: tuple[float, float], line: Ink = "ink", **how: object) -> str:
        """An open line through several points."""
        return self.shape("path", d=path(*points), line=line, **how)  # type: ignore[arg-type]

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: float,
        *,
        weight: Weight = "regular",
        anchor: Literal["start", "middle", "end"] = "start",
        ink: Ink = "ink",
        **how: object,
    ) -> str:
        """One line of words with its baseline at ``y``."""
        return self.shape(
            "text",
            escape(words, quote=False),
            fill=ink,
            x=float(x),
            y=float(y),
            font_family=FAMILY,
            font_size=float(size),
            font_weight=600 if weight == "semibold" else 400,
            text_anchor=None if anchor == "start" else anchor,
            **how,  # type: ignore[arg-type]
        )

    def backed_text(
        self,
        x: float,
        y: float,
        words: str,
        size: float,
        *,
        weight: Weight = "regular",
        anchor: Literal["start", "middle", "end"] = "start",
        ink: Ink = "ink",
        back: Ink = "paper",
    ) -> str:
        """Words on a patch of paper, to be read across a hatch or a line."""
        width = width_of(words, size, weight) + 6
        left = {"start": x - 3, "middle": x - width / 2, "end": x + 3 - width}[anchor]
        patch = self.box(left, y - size * 0.86, width, size * 1.16, fill=back)
        return patch + self.text(x, y, words, size, weight=weight, anchor=anchor, ink=ink)


def css_rules() -> str:
    """The style sheet rules that let a page recolour every drawing through custom properties (dark mode)."""
    rules = []
    for ink, colour in SCREEN.items():
        rules.append(f".picture-fill-{ink} {{ fill: var(--picture-{ink}, {colour}); }}")
        rules.append(f".picture-line-{ink} {{ stroke: var(--picture-{ink}, {colour}); }}")
    return "\n".join(rules) + "\n"


def document(
    *body: str, prefix: str, width: float, height: float, title: str, description: str, links: bool, kind: str
) -> str:
    """The whole drawing; with links inside it is a group, without it is one image to a screen reader."""
    return element(
        "svg",
        element("title", escape(title, quote=False), id=f"{prefix}-title"),
        element("desc", escape(description, quote=False), id=f"{prefix}-desc"),
        *body,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {number(width)} {number(height)}",
        width=float(width),
        height=float(height),
        class_=f"picture picture-{kind}",
        role="group" if links else "img",
        aria_labelledby=f"{prefix}-title {prefix}-desc",
    )


def linked(body: str, href: str | None, label: str) -> str:
    """``body`` as a link that says where it leads, or as it is when there is nowhere to go."""
    return element("a", body, href=href, aria_label=label) if href else body
