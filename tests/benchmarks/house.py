"""`make house`: how large the house is, each number beside what it should at most be."""

import ast
import re
import subprocess
from pathlib import Path

from processes import Row, table

ROOT = Path(__file__).parents[2]
LONG_MODULE, LONG_FUNCTION = 300, 40  # lines
QUESTIONS = (4, 7, 4)  # files to open, at most, for each of DEVELOPERS' questions of a newcomer


def files(*folders):
    """Python files that git knows, or would take in, below some folders."""
    command = ["git", "ls-files", "--cached", "--others", "--exclude-standard", *folders]
    listed = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    paths = (ROOT / name for name in listed.stdout.split("\n") if name.endswith(".py"))
    return [path for path in paths if path.is_file()]


def long_functions(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef) and (node.end_lineno or 0) - node.lineno >= LONG_FUNCTION:
            yield f"{path.name}: {node.name}"


def import_lines(text):
    nodes = [node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.Import | ast.ImportFrom)]
    return sum((node.end_lineno or node.lineno) - node.lineno + 1 for node in nodes)


def questions():
    """Files that DEVELOPERS names for each question of a newcomer."""
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    part = page.partition("## Three questions of a newcomer")[2].partition("\n## ")[0]
    rows = [line for line in part.split("\n") if line.startswith("| ")]
    return [len(set(re.findall(r"`([\w/.]+\.\w+)`", row))) for row in rows[1:]]


def rows() -> list[Row]:
    code = {path: path.read_text(encoding="utf-8") for path in files("planner", "library")}
    lines = {path: len(text.splitlines()) for path, text in code.items()}
    tests = sum(len(path.read_text(encoding="utf-8").splitlines()) for path in files("tests"))
    filled = sum(bool(line.strip()) for text in code.values() for line in text.splitlines())
    imports = 100 * sum(map(import_lines, code.values())) / filled
    long = [path.name for path, count in lines.items() if count > LONG_MODULE]
    functions = [name for path in code for name in long_functions(path)]
    return [
        Row("lines of planner and library", sum(lines.values()), 22_500, ""),
        Row("modules", len(code), 160, ""),
        Row("lines of tests", tests, 20_500, ""),
        Row("import lines of all filled lines", imports, 7, "%"),
        Row("modules above 300 lines", len(long), 5, "", note=", ".join(long)),
        Row("functions above 40 lines", len(functions), 3, "", note=", ".join(functions)),
        *(
            Row(f"files for a newcomer's question {number}", count, most, "")
            for number, (count, most) in enumerate(zip(questions(), QUESTIONS, strict=True), 1)
        ),
    ]


if __name__ == "__main__":
    print(table(rows()))
