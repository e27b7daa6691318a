"""Makes the small athlete, whose folder is built beside the tests of the week, and this folder's helpers known."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "week"))
sys.path.insert(0, str(Path(__file__).parent))
