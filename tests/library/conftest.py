"""Small helpers for the library's tests: a copy of the small library, and evidence rows in one line."""

import shutil
from pathlib import Path

import pytest
from folders import SMALL_LIBRARY

from library.schema import EvidenceRow


@pytest.fixture
def small(tmp_path):
    """Return a copy of the small library that a test may spoil."""
    return Path(shutil.copytree(SMALL_LIBRARY, tmp_path / "library"))


@pytest.fixture(scope="session")
def make_row():
    def make(study, exercise, mean, **given):
        fields = {
            "id": f"{study}-{exercise}", "kind": "published", "study": study, "citation": study,
            "exercise": exercise, "head": "front", "phase": "both", "metric": "mean amplitude",
            "unit": "percent_MVIC", "mean": mean, "status": "read",
        }  # fmt: skip
        if "against" in given:
            fields |= {"kind": "practice", "status": "practice", "unit": "ratio"}
        return EvidenceRow.model_validate(fields | given)

    return make
