"""Small pieces of SVG: numbers, text, lines, boxes; sizes in millimetres of the page."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

BLACK, DARK, MIDDLE, LIGHT, PALE = "#000", "#555", "#999", "#ccc", "#eee"
THIN, USUAL = 0.2, 0.35  # line widths


def number(value: float) -> str:
    """Return a coordinate with two decimals at most."""
    return f"{value:.2f}".rstrip("0").rstrip(".") or "0"


def picture(width: float, height: float, parts: Iterable[str], said: str) -> str:
    """Return one drawing of so many millimetres; `said` is read out where a drawing cannot be seen."""
    box = f"0 0 {number(width)} {number(height)}"
    size = f'width="{number(width)}mm" height="{number(height)}mm"'
    return (
        f'<svg {size} viewBox="{box}" role="img" aria-label="{escape(said)}"><title>{escape(said)}</title>'
        f"{''.join(parts)}</svg>"
    )


def text(
    x: float, y: float, words: str, *, size: float = 2.6, anchor: str = "start", bold: bool = False
) -> str:
    """Return one line of text; `y` is its base line."""
    weight = ' font-weight="bold"' if bold else ""
    place = f'x="{number(x)}" y="{number(y)}" font-size="{number(size)}" text-anchor="{anchor}"'
    return f"<text {place}{weight}>{escape(words)}</text>"


def box(x: float, y: float, width: float, height: float, *, fill: str = "none", stroke: str = "none") -> str:
    """Return a rectangle."""
    place = (
        f'x="{number(x)}" y="{number(y)}" width="{number(max(0, width))}" height="{number(max(0, height))}"'
    )
    return f'<rect {place} fill="{fill}" stroke="{stroke}" stroke-width="{THIN}"/>'


def line(
    x1: float,
    y1: float,
    x2: float,
    y2: float,
    *,
    width: float = THIN,
    stroke: str = BLACK,
    dashed: bool = False,
) -> str:
    """Return a straight line."""
    dash = ' stroke-dasharray="0.8 0.6"' if dashed else ""
    ends = f'x1="{number(x1)}" y1="{number(y1)}" x2="{number(x2)}" y2="{number(y2)}"'
    return f'<line {ends} stroke="{stroke}" stroke-width="{width}"{dash}/>'


def curve(
    xs: Sequence[float], ys: Sequence[float], *, width: float = USUAL, stroke: str = BLACK, fill: str = "none"
) -> str:
    """Return a line through points."""
    points = " ".join(f"{number(x)},{number(y)}" for x, y in zip(xs, ys, strict=True))
    return f'<polyline points="{points}" fill="{fill}" stroke="{stroke}" stroke-width="{width}"/>'


def circle(x: float, y: float, radius: float, *, fill: str = "none", stroke: str = BLACK) -> str:
    """Return a circle."""
    place = f'cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"'
    return f'<circle {place} fill="{fill}" stroke="{stroke}" stroke-width="{USUAL}"/>'
