"""The drawing kit of every paper: small pieces of SVG in the units of their view box, readable in grey."""

from collections.abc import Iterable, Sequence
from html import escape

BLACK, DARK, MIDDLE, LIGHT, PALE, WHITE = "#000", "#555", "#999", "#ccc", "#eee", "#fff"
THIN, USUAL = 0.2, 0.35  # line widths of drawings in millimetres


def number(value: float) -> str:
    """Return a coordinate with two decimals at most."""
    return f"{value:.2f}".rstrip("0").rstrip(".") or "0"


def _with(**values: float | str) -> str:
    """Write attributes, numbers as coordinates; _ in a name is -."""
    said = {name: value if isinstance(value, str) else number(value) for name, value in values.items()}
    return " ".join(f'{name.replace("_", "-")}="{value}"' for name, value in said.items())


def picture(
    width: float, height: float, parts: Iterable[str], said: str, *, wide: bool = False, scale: float = 1
) -> str:
    """Return one drawing, `said` to who cannot see it, in units of `scale` millimetres or (`wide`) that fill the width."""
    size = 'class="chart"'
    if not wide:
        size = _with(width=f"{number(width * scale)}mm", height=f"{number(height * scale)}mm")
    head = f'{size} viewBox="0 0 {number(width)} {number(height)}" role="img" aria-label="{escape(said)}"'
    return f"<svg {head}><title>{escape(said)}</title>{''.join(parts)}</svg>"


def text(
    x: float, y: float, said: str, *, size: float = 2.6, anchor: str = "start", bold: bool = False
) -> str:
    """Return one line of text; `y` is its base line."""
    weight = {"font_weight": "bold"} if bold else {}
    return f"<text {_with(x=x, y=y, font_size=size, text_anchor=anchor, **weight)}>{escape(said)}</text>"


def box(
    x: float, y: float, width: float, height: float, *,
    fill: str = "none", stroke: str = "none", line_width: float = THIN, dash: str = "",
) -> str:  # fmt: skip
    """Return a rectangle."""
    place = _with(x=x, y=y, width=max(0, width), height=max(0, height), fill=fill)
    return f"<rect {place} {_stroke(stroke, line_width, dash)}/>"


def line(
    x1: float, y1: float, x2: float, y2: float, *,
    width: float = THIN, stroke: str = BLACK, dashed: bool = False, dash: str = "0.8 0.6",
) -> str:  # fmt: skip
    """Return a straight line."""
    return f"<line {_with(x1=x1, y1=y1, x2=x2, y2=y2)} {_stroke(stroke, width, dash if dashed else '')}/>"


def curve(
    xs: Sequence[float], ys: Sequence[float], *, width: float = USUAL, stroke: str = BLACK, fill: str = "none"
) -> str:
    """Return a line through points."""
    points = " ".join(f"{number(x)},{number(y)}" for x, y in zip(xs, ys, strict=True))
    return f'<polyline points="{points}" fill="{fill}" {_stroke(stroke, width)}/>'


def circle(x: float, y: float, radius: float, *, fill: str = "none", stroke: str = BLACK) -> str:
    """Return a circle."""
    return f"<circle {_with(cx=x, cy=y, r=radius, fill=fill)} {_stroke(stroke, USUAL)}/>"


def _stroke(color: str, width: float, dash: str = "") -> str:
    return _with(stroke=color, stroke_width=width, **({"stroke_dasharray": dash} if dash else {}))
