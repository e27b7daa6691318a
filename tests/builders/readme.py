"""README taken apart, and its made parts: `python tests/builders/readme.py` writes the printed week and the sums
anew. A made part stands below a line `<!-- KIND: ARGUMENT -->`: one fence, or all lines up to the first empty one."""

import re
import shlex
import tempfile
from dataclasses import dataclass
from pathlib import Path

import typer
from folders import DEMO, ROOT, copy_of_demo
from in_process import printed

from library.read import read_library
from planner.athlete.reading import read_brief
from planner.cli import COMMANDS, register
from planner.document import WeekDocument

README = ROOT / "README.md"
MADE = re.compile(
    r"<!-- (?P<kind>printed|counted): (?P<argument>.+?) -->\n(?P<text>```.*?\n```|.+?(?=\n\n))", re.DOTALL
)
GROUP = typer.main.get_command(register())
OPTIONS = {
    name: {
        word
        for one in GROUP.commands[name].params
        for word in (*one.opts, *one.secondary_opts)
        if word[:2] == "--"
    }
    for name in COMMANDS
}  # of every command, as the program itself knows them
FENCE = re.compile(r"^ *```(?P<language>\w*)\n(?P<text>.*?)^ *```$", re.DOTALL | re.MULTILINE)
CODE = re.compile(r"`([^`\n]+)`")
HEADING = re.compile(r"^(#+) (.+)$", re.MULTILINE)


@dataclass(frozen=True)
class Part:
    """One heading's text, up to the next heading of any level."""

    title: str
    text: str

    @property
    def rows(self):
        """Rows of its tables, headings and rules left out, each cell as written."""
        lines = (line.strip() for line in self.text.splitlines())
        rows = [[*map(str.strip, line.strip("|").split(" | "))] for line in lines if line.startswith("|")]
        rules = {place for place, row in enumerate(rows) if set("".join(row)) <= set("-|")}
        return [row for place, row in enumerate(rows) if not {place, place + 1} & rules]

    @property
    def keys(self):
        return [row[0].strip("`") for row in self.rows]


def parts(text):
    heads = list(HEADING.finditer(outside_fences(text)))
    ends = [*(one.start() for one in heads[1:]), len(text)]
    both = zip(heads, ends, strict=True)
    made = (Part(one[2].replace("`", ""), text[one.end() : end]) for one, end in both)
    return {part.title: part for part in made}


def outside_fences(text):
    """Give the text with what stands in fences blanked, letter by letter, so that places stay."""
    return FENCE.sub(lambda fence: re.sub(r"[^\n]", " ", fence[0]), text)


def fenced(text, language):
    fences = (one["text"].split("\n") for one in FENCE.finditer(text) if one["language"] == language)
    lines = [line.strip() for fence in fences for line in fence]
    return [line for line in lines if line]


def commands(text):
    """Give every command line of ours that the text names, in fences and in the running text, as words."""
    running = (code for code in CODE.findall(outside_fences(text)) if code.startswith("planner "))
    for line in (*fenced(text, "sh"), *running):
        words = shlex.split(line)
        if words[0] == "planner" and len(words) > 1:
            yield words[1:]


def as_fence(command, where):
    lines = printed(*shlex.split(command)[1:], home=where).strip().split("\n")
    return "```text\n" + "\n".join(line.rstrip() for line in lines) + "\n```"


def counted(week, where):
    """The sums of the demo's week as a table: sets, what they make for each head (own in bold), and what elsewhere adds."""
    told = printed("week", DEMO.name, "--week", week, "--json", home=where)
    document = WeekDocument.model_validate_json(told)
    heads = [dose.head for dose in document.dose]
    sets = {}
    credits = {}
    trains = {}
    for line in (line for session in document.sessions for line in session.exercises):
        sets[line.name] = sets.get(line.name, 0) + line.sets
        credits[line.name], trains[line.name] = line.credits, line.trains
    rows = [["exercise", "sets", *heads], ["---"] * (2 + len(heads))]
    for name, count in sets.items():
        cells = []
        for head in heads:
            one = credits[name].get(head, 0.0)
            cell = f"{count} × {one:.2f} = {count * one:.1f}" if one else ""
            cells.append(f"**{cell}**" if cell and trains[name] == head else cell)
        rows.append([name, str(count), *cells])
    others = (f"{dose.elsewhere:.1f}" if dose.elsewhere else "" for dose in document.dose)
    rows.append([_elsewhere(), "", *others])
    sums = {
        "own": [dose.own for dose in document.dose],
        "helping, as far as it counts": [dose.helping for dose in document.dose],
        "**dose**": [dose.planned + dose.elsewhere for dose in document.dose],
    }
    rows += [[name, "", *(f"{value:.1f}" for value in values)] for name, values in sums.items()]
    return "\n".join("| " + " | ".join(row) + " |" for row in rows)


def _elsewhere():
    library = read_library()
    brief = read_brief(DEMO, library)
    names = library.exercises
    return "; ".join(f"{names[of].name}, {done.sets} sets elsewhere" for of, done in brief.elsewhere.items())


def made_anew(text, where):
    """Give README's text with every made part made anew from the demo in a folder."""

    def anew(part):
        maker = {"printed": as_fence, "counted": counted}[part["kind"]]
        return f"<!-- {part['kind']}: {part['argument']} -->\n{maker(part['argument'], where)}"

    return MADE.sub(anew, text)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as room:
        athlete = copy_of_demo(Path(room, DEMO.name))
        README.write_text(made_anew(README.read_text(encoding="utf-8"), athlete.parent), encoding="utf-8")
