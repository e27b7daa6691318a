"""The makers of builders/training.py."""

import pytest
from training import make_exercise, make_gym, make_sets


@pytest.fixture(scope="session")
def exercise():
    return make_exercise


@pytest.fixture(scope="session")
def gym():
    return make_gym


@pytest.fixture(scope="session")
def sets():
    return make_sets
