"""Makes the small athlete, whose folder is built beside the tests of the week, known to the tests of commands."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "week"))
