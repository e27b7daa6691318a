"""Whole numbers among the options, and options that exclude each other: what is read, what is refused, in which words."""

import pytest
from in_process import run

from library.errors import FaultyInput
from planner.cli import whole_number


@pytest.mark.parametrize(("text", "number"), [("3", 3), (" 9 ", 9), ("+2", 2), ("1", 1)])
def test_a_whole_number_in_the_range_is_read(text, number):
    assert whole_number("--jobs", 1, 9)(text) == number
    assert whole_number("--jobs")("-7") == -7


@pytest.mark.parametrize("text", ["", "x", "1.5", "--3", "+-3", "0", "10", "-1", "1e0", "0x1"])
def test_everything_else_is_refused(text):
    with pytest.raises(FaultyInput) as told:
        whole_number("--jobs", 1, 9)(text)
    assert str(told.value) == f'--jobs: "{text}". Write a whole number from 1 to 9, such as --jobs 3'


@pytest.mark.parametrize(("words", "says"), [
    ("block . --weeks many", '--weeks: "many". Write a whole number, such as'),
    ("week . --choices many", '--choices: "many". Write a whole number from 1 to 9'),
    ("progress . --weeks 0", '--weeks: "0". Write a whole number, 1 or more'),
    ("roster . --jobs many", '--jobs: "many". Write'),
    ("roster . --together Mon --changed-only", "--together: together with --changed-only. Leave one of them out"),
    ("roster . --jobs 2 --scheduler tcp://x", "--jobs: together with --scheduler"),
    ("measure . --into kim --plan kim", "--plan: together with --into"),
])  # fmt: skip
def test_every_command_tells_it_in_the_same_words(words, says):
    told = run(*words.split())
    assert (told.code, told.out) == (2, "") and told.err.startswith(says)
