"""All that is said to a client, in English: the keys of every catalogue in planner/sheets/locale. As a command, after
a text was changed: python tests/builders/messages.py. It gives each catalogue an empty entry for every new text and
takes out what is said no more; fill in the empty ones."""

import io
from importlib.resources import files
from itertools import chain

from babel.messages.catalog import Catalog
from babel.messages.extract import extract
from babel.messages.pofile import read_po, write_po

from library.read import read_library
from planner.log.record import KINDS, NOT_SETTLED, SETTLED
from planner.phone.pages import SCRIPT_WORDS
from planner.plain import DAY_NAMES, MONTHS
from planner.sheets.say import OVER, TEMPO, words_file
from planner.train.progression import AGAIN, BIG_STEP, FEWER, HOLD, LIGHTER, NO_HEAVIER
from planner.train.rules import WEAKER

SHEETS, PHONE = files("planner.sheets"), files("planner.phone")
OURS = ("sheets.html", "_session.html", "_exercise.html", "slip.html", "event.txt")
TEMPLATES = (*(SHEETS / "templates" / name for name in OURS), PHONE / "templates" / "session.html")
TABLES = ("line", "find", "pain", "rule")  # of words.toml, whose entries have a text
# said of a load in planner/train/progression.py, with {0}, {1} for its numbers
LOAD_NOTES = (
    *(note for notes in AGAIN.values() for note in notes), FEWER, HOLD, WEAKER,
    *(words.format("{0}") for words in (BIG_STEP, LIGHTER, NO_HEAVIER)),
    "Pain last time: {0} set less where a session has more than {1}, up to {2} repetitions with {3} in reserve, same range"
    " of motion or less.",
    "Back after pain, cleared: {0} set less, same range of motion or less.",
    "{0} weeks without it: {1} set less, and up again from there.",
    "Up by the station's smallest step, between {0} and {1} kg.",
    "Up by the station's smallest step, between {0} and {1} lb.",
    "The only load here: stop with {0} in reserve, however many repetitions that is.",
    "Begin with {0} kg, then up or down until {1}–{2} reps leave {3} in reserve.",
    "Begin with {0} lb, then up or down until {1}–{2} reps leave {3} in reserve.",
    "Nothing so light is listed here: take the lightest there is, and tell your coach.",
)  # fmt: skip


def messages():
    """Give every text once, in the order of sheet and library."""
    words = (*DAY_NAMES.values(), *MONTHS, *TEMPO, *OVER.values())
    fixed = (*words, *KINDS, SETTLED, NOT_SETTLED, *SCRIPT_WORDS.values())
    return dict.fromkeys(chain(_of_code(), fixed, _of_words(), LOAD_NOTES, _of_library()))


def _of_code():
    for folder in (SHEETS, PHONE):
        for file in sorted(file for file in folder.iterdir() if file.name.endswith(".py")):
            yield from _extracted("python", file)
    for file in TEMPLATES:
        yield from _extracted("jinja2.ext:babel_extract", file)


def _extracted(method, file):
    for _, text, _, _ in extract(method, io.BytesIO(file.read_bytes()), keywords={"_": None}):
        yield str(text)


def _of_words():
    data = words_file()
    yield from (entry["text"] for table in TABLES for entry in data[table].values())
    for entry in data["stop"]:
        yield from (entry["title"], *entry["signs"])
    yield from (text for table in ("box", "load") for text in data[table].values())


def _of_library():
    library = read_library()
    for table in (library.heads, library.regions, library.equipment):
        yield from (entry.name for entry in table.values())
    for exercise in library.exercises.values():
        if not exercise.compare_only:
            yield from (exercise.name, exercise.position, *exercise.cues, *exercise.cautions)
            yield from (stress.change for stress in exercise.stress.values() if stress.change)


def main():
    template = Catalog()
    for text in messages():
        template.add(text)
    for file in sorted((SHEETS / "locale").iterdir(), key=lambda file: file.name):
        with file.open("rb") as stream:
            catalog = read_po(stream)
        catalog.update(template, no_fuzzy_matching=True)
        catalog.obsolete.clear()
        with file.open("wb") as stream:
            write_po(stream, catalog, width=110, no_location=True, sort_output=False, omit_header=False)
        empty = sum(not entry.string for entry in catalog if entry.id)
        print(f"{file.name}: {empty} of {len(catalog)} to be filled in")


if __name__ == "__main__":
    main()
