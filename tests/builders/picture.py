"""Draw the picture of a sheet that README shows: `python tests/builders/picture.py` writes demo_athlete/sheet.png.
The demo's week of README is planned in a copy, and page 1 of its sheets.pdf is kept in sixteen greys: small enough
for git, and proof that the sheet reads without colour."""

import tempfile
from pathlib import Path

import pypdfium2
from folders import DEMO, ROOT, copy_of_demo
from in_process import printed

PICTURE = DEMO / "sheet.png"
WEEK = "2026-W49"  # the week that README shows
PIXELS_A_POINT = 1.5
GREYS = 16
if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as room:
        athlete = copy_of_demo(Path(room, DEMO.name))
        printed("week", athlete, "--week", WEEK, home=room)
        page = pypdfium2.PdfDocument(athlete / "weeks" / WEEK / "sheets.pdf")[0]
        image = page.render(scale=PIXELS_A_POINT, grayscale=True).to_pil()
        image.quantize(GREYS).save(PICTURE, optimize=True)
    print(f"{PICTURE.relative_to(ROOT)}: {PICTURE.stat().st_size / 1000:.0f} kB")
