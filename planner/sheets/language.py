"""The client's language: what is said inside `speaking` comes from that language's catalogue (locale/de.po).

English is the text itself: it is its own key in every catalogue. What a catalogue lacks is said in English.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from importlib.resources import files

ENGLISH = "en"
_spoken = ContextVar("spoken", default=ENGLISH)
NUMBER = re.compile(r"\d+(?:\.\d+)?")


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Say everything inside in a language."""
    before = _spoken.set(language)
    try:
        yield
    finally:
        _spoken.reset(before)


def spoken() -> str:
    """Give the language that is spoken here."""
    return _spoken.get()


def _(text: str) -> str:
    """Say an English text in the language that is spoken here."""
    return catalogue(_spoken.get()).get(text, text)


def with_numbers(text: str) -> str:
    """Say a text that holds numbers; its entry in the catalogue has {0}, {1} … in their place."""
    numbers = NUMBER.findall(text)
    places = iter(range(len(numbers)))
    return _(NUMBER.sub(lambda _number: f"{{{next(places)}}}", text)).format(*map(figure, numbers))


def figure(text: str) -> str:
    """Write a number with the decimal sign of the language."""
    return text.replace(".", _("."))


@cache
def catalogue(language: str) -> Mapping[str, str]:
    """Read a language's catalogue: English text -> text."""
    if language == ENGLISH:
        return {}
    from babel.messages.pofile import read_po

    with (files("planner.sheets") / "locale" / f"{language}.po").open("rb") as file:
        return {str(entry.id): str(entry.string) for entry in read_po(file) if entry.id and entry.string}
