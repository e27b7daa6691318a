"""Whole numbers among the options: what is read, what is refused, and in which words, command by command."""

import pytest
from in_process import run

from library.errors import FaultyInput
from planner.options import whole_number


@pytest.mark.parametrize(("text", "number"), [("3", 3), (" 9 ", 9), ("+2", 2), ("1", 1)])
def test_a_whole_number_in_the_range_is_read(text, number):
    assert whole_number("--jobs", 1, 9)(text) == number


@pytest.mark.parametrize("text", ["", "x", "1.5", "--3", "+-3", "0", "10", "-1", "1e0", "0x1"])
def test_everything_else_is_refused(text):
    with pytest.raises(FaultyInput) as told:
        whole_number("--jobs", 1, 9)(text)
    assert str(told.value) == f'--jobs: "{text}". Write a whole number from 1 to 9, such as --jobs 3'


def test_a_range_may_be_open():
    assert whole_number("--jobs")("-7") == -7
    assert whole_number("--jobs", 1)("4000") == 4000
    with pytest.raises(FaultyInput, match="Write a whole number, 1 or more, such as"):
        whole_number("--jobs", 1)("0")
    with pytest.raises(FaultyInput, match="Write a whole number, such as"):
        whole_number("--jobs")("many")


@pytest.mark.parametrize(
    ("command", "option"),
    [("block", "--weeks"), ("week", "--choices"), ("progress", "--weeks"), ("roster", "--jobs")],
)
def test_every_command_tells_it_in_the_same_words(command, option, tmp_path):
    told = run(command, tmp_path, option, "many")
    assert (told.code, told.out) == (2, "")
    assert told.err.startswith(f'{option}: "many". Write a whole number')
