"""The shoulder in three simple views, with the line that guides a sensor and its two electrodes."""

from __future__ import annotations

from math import hypot

from planner.emg.paper.svg import BLACK, DARK, USUAL, circle, line, picture, text

WIDTH, HEIGHT = 46.0, 46.0  # millimetres
ELECTRODE, APART = 1.4, 3.2  # radius, and half the distance between the two (drawn larger than life)
Point = tuple[float, float]

# outlines as SVG paths in millimetres; front and back show the right half of a body that faces us or turns away
OUTLINES = {
    "front": (
        "M6 1 L6 7 C8 10 16 11 28 12.5 C37 14 39.5 21 38.5 29 L37 41",
        "M30 41 L29 27 C28.5 24 27 22 25 21",
        "M25 21 L24 41",
    ),
    "side": ("M13.5 41 L12.5 24 C11 9 33 9 31.5 24 L30.5 41", "M18.5 11 L18 1", "M25.5 11 L26 1"),
    "back": (
        "M6 1 L6 6 C9 9 16 10.5 28 12.5 C37 14 39.5 21 38.5 29 L37 41",
        "M30 41 L29 27 C28.5 24 27 22 25 21",
        "M25 21 L24 41",
        "M4 8 L4 41",
    ),
}
# name, place, and where its label stands beside it
LANDMARKS: dict[str, list[tuple[str, Point, Point]]] = {
    "front": [("shoulder tip", (28, 12.5), (1.6, -1.6))],
    "side": [("shoulder tip", (22, 13), (7, -1.5))],
    "back": [("shoulder tip", (28, 12.5), (1.6, -1.6)), ("C7", (4, 8), (1, 5))],
}


def site_drawing(view: str, at: Point, guide: tuple[Point, Point], said: str) -> str:
    """Return one site: outline, landmarks, guiding line (dashed) and both electrodes (filled)."""
    parts = [
        f'<path d="{path}" fill="none" stroke="{BLACK}" stroke-width="{USUAL}"/>' for path in OUTLINES[view]
    ]
    (x1, y1), (x2, y2) = guide
    parts.append(line(x1, y1, x2, y2, stroke=DARK, dashed=True, width=0.3))
    for name, (x, y), (right, down) in LANDMARKS[view]:
        parts.append(circle(x, y, 0.9, fill="#fff"))
        parts.append(text(x + right, y + down, name, size=2.6))
    length = hypot(x2 - x1, y2 - y1)
    step = ((x2 - x1) / length * APART, (y2 - y1) / length * APART)
    parts += [
        circle(at[0] + sign * step[0], at[1] + sign * step[1], ELECTRODE, fill=BLACK) for sign in (-1, 1)
    ]
    parts.append(
        text(1, 45, {"front": "from the front", "side": "from the side", "back": "from behind"}[view])
    )
    return picture(WIDTH, HEIGHT, parts, said)
