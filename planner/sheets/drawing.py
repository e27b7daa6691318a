"""The drawing kit of every paper: small pieces of SVG in the units of their view box, readable in grey."""

from collections.abc import Iterable, Sequence
from html import escape

BLACK, DARK, MIDDLE, LIGHT, PALE, WHITE = "#000", "#555", "#999", "#ccc", "#eee", "#fff"
THIN, USUAL = 0.2, 0.35  # line widths of drawings in millimetres


def number(value: float) -> str:
    """Return a coordinate with two decimals at most."""
    return f"{value:.2f}".rstrip("0").rstrip(".") or "0"


def picture(
    width: float, height: float, parts: Iterable[str], said: str, *, wide: bool = False, scale: float = 1
) -> str:
    """Return one drawing; `said` is read out where a drawing cannot be seen.

    The view box is in units of `scale` millimetres of the page, or with `wide` in units that fill the width there is.
    """
    size = (
        'class="chart"' if wide else f'width="{number(width * scale)}mm" height="{number(height * scale)}mm"'
    )
    head = f'{size} viewBox="0 0 {number(width)} {number(height)}" role="img" aria-label="{escape(said)}"'
    return f"<svg {head}><title>{escape(said)}</title>{''.join(parts)}</svg>"


def text(
    x: float, y: float, words: str, *, size: float = 2.6, anchor: str = "start", bold: bool = False
) -> str:
    """Return one line of text; `y` is its base line."""
    weight = ' font-weight="bold"' if bold else ""
    place = f'x="{number(x)}" y="{number(y)}" font-size="{number(size)}" text-anchor="{anchor}"'
    return f"<text {place}{weight}>{escape(words)}</text>"


def box(
    x: float, y: float, width: float, height: float, *,
    fill: str = "none", stroke: str = "none", line_width: float = THIN, dash: str = "",
) -> str:  # fmt: skip
    """Return a rectangle."""
    place = (
        f'x="{number(x)}" y="{number(y)}" width="{number(max(0, width))}" height="{number(max(0, height))}"'
    )
    return f'<rect {place} fill="{fill}" {_stroke(stroke, line_width, dash)}/>'


def line(
    x1: float, y1: float, x2: float, y2: float, *,
    width: float = THIN, stroke: str = BLACK, dashed: bool = False, dash: str = "0.8 0.6",
) -> str:  # fmt: skip
    """Return a straight line."""
    ends = f'x1="{number(x1)}" y1="{number(y1)}" x2="{number(x2)}" y2="{number(y2)}"'
    return f"<line {ends} {_stroke(stroke, width, dash if dashed else '')}/>"


def curve(
    xs: Sequence[float], ys: Sequence[float], *, width: float = USUAL, stroke: str = BLACK, fill: str = "none"
) -> str:
    """Return a line through points."""
    points = " ".join(f"{number(x)},{number(y)}" for x, y in zip(xs, ys, strict=True))
    return f'<polyline points="{points}" fill="{fill}" {_stroke(stroke, width)}/>'


def circle(x: float, y: float, radius: float, *, fill: str = "none", stroke: str = BLACK) -> str:
    """Return a circle."""
    place = f'cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"'
    return f'<circle {place} fill="{fill}" {_stroke(stroke, USUAL)}/>'


def _stroke(color: str, width: float, dash: str = "") -> str:
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return f'stroke="{color}" stroke-width="{number(width)}"{dashes}'
