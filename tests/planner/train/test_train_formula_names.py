"""A formula goes by its name: an unknown one is refused with the nearest, and the settings offer exactly the known."""

from __future__ import annotations

from typing import get_args, get_type_hints

import pytest

from planner.method import TrainSettings
from planner.train.formulas import FORMULAS, UnknownFormula, multiplier


def test_an_unknown_formula_is_refused_with_the_nearest_name() -> None:
    with pytest.raises(UnknownFormula, match=r'unknown formula "epely"; did you mean "epley"\?') as told:
        multiplier("epely")
    assert told.value.exit_code == 2
    assert all(name in str(told.value) for name in FORMULAS)


def test_the_settings_offer_every_formula_and_no_other() -> None:
    assert set(get_args(get_type_hints(TrainSettings)["formula"])) == set(FORMULAS)
