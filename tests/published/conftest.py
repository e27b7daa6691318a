"""Makes the builders of weeks, which stand beside the week's own tests, known to the published checks."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "planner" / "week"))
